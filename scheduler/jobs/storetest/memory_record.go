package storetest

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"limbround/geo"
	"limbround/scheduler"
)

// recordKey is a record's id with what was sent under it and what was answered.
type recordKey struct {
	content string
	answer  scheduler.RecordAnswer
}

type recordRow struct {
	scheduler.WorkEntry
	batch int64
}

type hazardRow struct {
	scheduler.Hazard
	tree, visit int64
	record      string
	actBy       time.Time
}

// Record takes one work record with all that follows from it.
func (m *Memory) Record(ctx context.Context, rec scheduler.WorkRecord,
	decide func(scheduler.RecordInput) (scheduler.RecordOutcome, error), by scheduler.Stamp,
) (answer scheduler.RecordAnswer, err error) {
	rec.Start, rec.Finish = rec.Start.UTC(), rec.Finish.UTC()
	if rec.Source == "" {
		rec.Source = "field"
	}
	content, err := json.Marshal(rec)
	if err != nil {
		return answer, fmt.Errorf("encode record: %w", err)
	}
	err = m.write(ctx, func(s *state) error {
		answer = scheduler.RecordAnswer{}
		if key, known := s.keys[rec.ID]; known {
			if key.content != string(content) {
				return scheduler.Errorf(scheduler.Clash, "record %s: it was received before with other content", rec.ID)
			}
			answer = key.answer
			answer.RecordID, answer.Replayed = rec.ID, true
			return nil
		}
		in, err := s.recordInput(rec, by.At)
		if err != nil {
			return err
		}
		out, err := decide(in)
		if err != nil {
			return err
		}
		if answer, err = s.record(&in, &out, by); err != nil {
			return err
		}
		s.keys[rec.ID] = recordKey{string(content), answer}
		return signed(by)
	})
	return answer, err
}

func unknown(field string, id int64) error {
	e := scheduler.Errorf(scheduler.Invalid, "%s %d: there is none", field, id)
	e.Fields = []scheduler.Fault{{Field: field, Value: fmt.Sprint(id), Rule: "it names one that exists"}}
	return e
}

func (s *state) recordInput(rec scheduler.WorkRecord, at time.Time) (in scheduler.RecordInput, err error) {
	if _, there := s.trees[rec.TreeID]; !there {
		return in, unknown("tree_id", rec.TreeID)
	}
	ts := s.treeSite(rec.TreeID, true)
	before, past := s.readPast(ts.Tree)
	in = scheduler.RecordInput{
		Record: rec, On: s.dayOf(rec.Finish), Today: s.dayOf(at), Tree: ts.Tree, Site: ts.Site,
		Base: before, Past: past, Open: s.visitsOf(rec.TreeID, false),
	}
	if sp, there := s.species[ts.Tree.Species]; there {
		in.Species = &sp
	}
	if c, there := s.items[rec.CrewID]; there && c.layer == "crews" {
		in.Crew = &scheduler.Crew{ID: rec.CrewID, Name: of(c.f, "name", ""), Skills: of(c.f, "skills", []scheduler.Skill(nil))}
	}
	if rec.VisitID != 0 {
		v, there := s.visits[rec.VisitID]
		if !there || v.TreeID != rec.TreeID {
			return in, unknown("visit_id", rec.VisitID)
		}
		in.Planned = &v.Visit
	}
	return in, nil
}

// record writes the decision and answers what is open afterwards.
func (s *state) record(in *scheduler.RecordInput, out *scheduler.RecordOutcome, by scheduler.Stamp) (answer scheduler.RecordAnswer, err error) {
	r := in.Record
	if _, there := s.packets[r.PacketID]; !there && r.PacketID != 0 {
		return answer, unknown("packet_id", r.PacketID)
	}
	if s.items[r.CrewID].layer != "crews" && r.CrewID != 0 {
		return answer, unknown("crew_id", r.CrewID)
	}
	s.records = append(s.records, recordRow{WorkEntry: scheduler.WorkEntry{Record: r, DoneOn: in.On, Actor: by.Actor, Arrived: by.At}})
	s.recordFacts(in, out)
	for _, id := range out.Closes {
		if v := s.visits[id]; v.Progress != scheduler.Completed {
			v.Progress = scheduler.Completed
			v.Revision++
			s.visits[id] = v
		}
	}
	s.finishStops(in, out)
	for i := range out.Opens {
		s.openVisit(in, out, &out.Opens[i])
	}
	s.logDeviations(out.Deviations, by)
	var buf []byte
	changes, _, err := scheduler.DiffVisits(s.openOf(r.TreeID), out.Visits, &buf)
	if err != nil {
		return answer, err
	}
	var w scheduler.DueWritten
	s.merge(r.TreeID, changes, in.Today, &w)
	return scheduler.RecordAnswer{
		RecordID: r.ID, TreeID: r.TreeID, Closed: append([]int64{}, out.Closes...), Next: append([]scheduler.Visit{}, s.visitsOf(r.TreeID, false)...),
		Watch: append([]scheduler.WatchItem{}, s.treeSite(r.TreeID, false).Tree.Watch...),
	}, nil
}

// recordFacts keeps the measurement, the watch items, the follow-ups and the
// tree's newest facts.
func (s *state) recordFacts(in *scheduler.RecordInput, out *scheduler.RecordOutcome) {
	r := in.Record
	if max(r.DBH, r.Height, r.BaseRoad, r.BaseWalk) > 0 {
		s.measures = append(s.measures, measureRow{id: s.id(), tree: r.TreeID, Measurement: scheduler.Measurement{
			On: in.On, Source: r.Source, RecordID: r.ID, DBH: r.DBH.OrNone(), Height: r.Height.OrNone(), Crown: geo.None,
			BaseRoad: r.BaseRoad.OrNone(), BaseWalk: r.BaseWalk.OrNone(),
		}})
	}
	for _, w := range out.Tree.Watch {
		if w.ID == 0 {
			w.ID = s.id()
		}
		s.watch[w.ID] = w
	}
	for _, f := range byID(s.follow, func(f *scheduler.FollowUp) bool { return f.TreeID == r.TreeID }) {
		delete(s.follow, f.ID)
	}
	for _, f := range out.FollowUps {
		f.ID = s.id()
		s.follow[f.ID] = f
	}
	t := s.trees[r.TreeID]
	t.Tree = out.Tree
	t.Watch = nil
	t.revision++
	s.trees[t.ID] = t
}

// openVisit writes a visit that the tree's records call for, and the danger
// that this one tells of.
func (s *state) openVisit(in *scheduler.RecordInput, out *scheduler.RecordOutcome, o *scheduler.OpenedVisit) {
	row := visitRow{Visit: o.Visit}
	row.ID, row.Progress = s.id(), scheduler.Open
	i := slices.IndexFunc(in.Open, func(x scheduler.Visit) bool { return x.Kind == row.Kind && !slices.Contains(out.Closes, x.ID) })
	switch {
	case o.Done:
		row.Progress = scheduler.Completed
	case i >= 0:
		row.ID, row.Revision = in.Open[i].ID, s.visits[in.Open[i].ID].Revision
	}
	row.AsOf = in.Today
	row.Revision++
	var buf []byte
	row.digest = row.Digest(&buf)
	if was, there := s.visits[row.ID]; !there || was.digest != row.digest || was.Origin != row.Origin { // else it says so already
		s.visits[row.ID] = row
	}
	if o.Visit.Kind != scheduler.MakeSafe {
		return
	}
	if out.Seen != nil && slices.Contains(o.Records, in.Record.ID) {
		s.hazards = append(s.hazards, hazardRow{out.Seen.Hazard, in.Tree.ID, row.ID, in.Record.ID, out.Seen.ActBy})
	}
	for i := range s.hazards {
		if slices.Contains(o.Records, s.hazards[i].record) {
			s.hazards[i].visit = row.ID
		}
	}
}
