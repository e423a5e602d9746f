package storetest

import (
	"crypto/md5"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"time"

	"limbround/geo"
	"limbround/scheduler"
)

// pastVisit is a row of past work as a record.
type pastVisit struct {
	rec scheduler.WorkRecord
	on  scheduler.Date
}

// judgeHistory holds past visits against their trees. A record is never
// rewritten: a key that was imported with other content is a fault.
func (s *state) judgeHistory(rows []judged, today scheduler.Date) {
	for i := range rows {
		j := &rows[i]
		t, known := s.treeNamed(of(j.f, "tree_ref", ""))
		on := of(j.f, "done_on", scheduler.Date(0))
		if !known {
			j.fault("tree_ref", of(j.f, "tree_ref", ""), "a past visit names a tree that has been imported")
		} else if !t.Planted.IsZero() && on < plantedFrom(&t.Tree) {
			j.fault("done_on", on.String(), fmt.Sprintf("work on a tree is not earlier than its planting (%s, known to the %s)", t.Planted, t.Precision))
		}
		if on > today {
			j.fault("done_on", on.String(), "a past visit does not lie in the future")
		}
		j.past = s.pastOf(j, t.ID, on)
		key, there := s.keys[j.past.rec.ID]
		if there && key.content != fmt.Sprint(j.f) {
			j.fault("ref", j.ref, "a work record is not rewritten: use a new key")
		}
		switch {
		case len(j.faults) > 0:
			j.verdict = "fault"
		case there:
			j.verdict = "unchanged"
		default:
			j.verdict = "new"
		}
	}
}

// plantedFrom is the first day on which the tree can have been planted.
func plantedFrom(t *scheduler.Tree) scheduler.Date {
	switch t.Precision {
	case scheduler.PreciseDay:
		return t.Planted
	case scheduler.PreciseMonth:
		return scheduler.NewDate(t.Planted.Year(), t.Planted.Month(), 1)
	}
	return scheduler.NewDate(t.Planted.Year(), time.January, 1)
}

// pastOf makes the record. Only the day is known: it is set at noon.
func (s *state) pastOf(j *judged, tree int64, on scheduler.Date) pastVisit {
	sum := md5.Sum([]byte("history " + j.ref))
	noon := time.Date(on.Year(), on.Month(), on.Day(), 12, 0, 0, 0, s.zone()).UTC()
	return pastVisit{on: on, rec: scheduler.WorkRecord{
		ID:     fmt.Sprintf("%x-%x-%x-%x-%x", sum[:4], sum[4:6], sum[6:8], sum[8:10], sum[10:]),
		TreeID: tree, By: of(j.f, "by_whom", ""), Start: noon.Add(-time.Duration(of(j.f, "minutes", int64(0))) * time.Minute), Finish: noon,
		Kinds: []scheduler.WorkKind{scheduler.WorkKind(of(j.f, "kind", ""))}, Outcome: scheduler.OutcomeDone,
		LiveCrown: int(of(j.f, "live_crown_pct", int64(0))), BaseRoad: of(j.f, "base_road_mm", geo.Length(0)),
		BaseWalk: of(j.f, "base_walk_mm", geo.Length(0)), DBH: of(j.f, "dbh_mm", geo.Length(0)),
		Stage: scheduler.Stage(of(j.f, "stage", "")), Note: of(j.f, "note", ""), Source: "history",
	}}
}

// applyHistory keeps the records and moves their trees' facts, oldest visit first.
func (s *state) applyHistory(b *batchRow) {
	var list []*judged
	for i := range b.judged {
		if b.judged[i].verdict == "new" {
			list = append(list, &b.judged[i])
		}
	}
	touched := map[int64]treeRow{} // as they were before
	sortBy(list, func(j **judged) []any { return []any{(*j).past.on, (*j).line} })
	for _, j := range list {
		r := j.past.rec
		t := s.trees[r.TreeID]
		if _, there := touched[t.ID]; !there {
			touched[t.ID] = t
		}
		pastFacts(&t.Tree, &r, j.past.on, s.leafOn())
		s.trees[t.ID] = t
		s.keys[r.ID] = recordKey{content: fmt.Sprint(j.f)}
		s.records = append(s.records, recordRow{batch: b.ID, WorkEntry: scheduler.WorkEntry{Record: r, DoneOn: j.past.on, Actor: b.Actor, Arrived: b.Applied}})
		if max(r.DBH, r.BaseRoad, r.BaseWalk) > 0 {
			s.measures = append(s.measures, measureRow{id: s.id(), tree: t.ID, batch: b.ID, Measurement: scheduler.Measurement{
				On: j.past.on, Source: "history", RecordID: r.ID, DBH: r.DBH.OrNone(), Height: geo.None, Crown: geo.None,
				BaseRoad: r.BaseRoad.OrNone(), BaseWalk: r.BaseWalk.OrNone(),
			}})
		}
	}
	for _, id := range slices.Sorted(maps.Keys(touched)) {
		if t, before := s.trees[id], touched[id]; !reflect.DeepEqual(t.Tree, before.Tree) {
			s.keep(b.ID, id, before)
			t.revision++
			s.trees[id] = t
		}
	}
}

// pastFacts moves a tree's facts by one past visit. Facts only move to newer
// ones, and a stage only forward.
func pastFacts(t *scheduler.Tree, r *scheduler.WorkRecord, on scheduler.Date, leafOn scheduler.MonthSpan) {
	if !scheduler.InPassing(r.Kinds) {
		t.LastVisit = max(t.LastVisit, on)
	}
	switch r.Kinds[0] {
	case scheduler.Training:
		t.LastTraining = max(t.LastTraining, on)
	case scheduler.RotationPrune:
		t.LastRotation = max(t.LastRotation, on)
	case scheduler.RoadClearance, scheduler.WalkClearance:
		t.LastRaise = max(t.LastRaise, on)
	case scheduler.MakeSafe:
		t.BrokenOn = max(t.BrokenOn, on)
	case scheduler.Restoration:
		t.LastRestored = max(t.LastRestored, on)
	case scheduler.Inspection, scheduler.Establishment, scheduler.FirstLook:
		t.LastInspected = max(t.LastInspected, on)
	case scheduler.Watering:
		t.LastWatered = max(t.LastWatered, on)
	case scheduler.BasalSprouts:
		t.LastSprouts = max(t.LastSprouts, on)
	}
	switch season := leafOn.DoseSeason(on); {
	case season > t.DoseSeason:
		t.DoseSeason, t.DoseUsed = season, r.LiveCrown
	case season == t.DoseSeason:
		t.DoseUsed = min(100, t.DoseUsed+r.LiveCrown)
	}
	if r.DBH > 0 && on >= t.MeasuredOn {
		t.DBH, t.MeasuredOn = r.DBH, on
	}
	if max(r.BaseRoad, r.BaseWalk) > 0 && on >= t.BaseOn {
		t.BaseOn = on
		if r.BaseRoad > 0 {
			t.BaseRoad = r.BaseRoad
		}
		if r.BaseWalk > 0 {
			t.BaseWalk = r.BaseWalk
		}
	}
	if stages := scheduler.Stages(); slices.Index(stages, r.Stage) > slices.Index(stages, t.Stage) {
		t.Stage = r.Stage
	}
}
