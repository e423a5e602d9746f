package scheduler

import (
	"slices"
	"time"

	"limbround/geo"
)

// RecordInput is what the decision about one work record is made from. It is
// read with the tree's row locked.
type RecordInput struct {
	Record  WorkRecord
	On      Date         // the city's civil date of the finish
	Today   Date         // the city's civil date of the receipt
	Tree    Tree         // as it stands, with all its watch items, resolved ones too
	Base    Tree         // as it was before its records, but those in the base; Tree when it has none yet
	Past    []PastRecord // the tree's records so far without imported ones, in any order
	Site    Site
	Species *Species // of the tree; nil for a code in no table
	Open    []Visit  // the tree's open visits
	Planned *Visit   // the visit that the record names, whatever became of it; nil for unplanned work

	Crew *Crew // that the record names: its number, name and skills; nil when it names none
}

// RecordOutcome is the decision: the new facts and the visits that follow.
type RecordOutcome struct {
	Tree      Tree
	Closes    []int64       // visits that the work completed
	FollowUps []FollowUp    // all that the tree's records set, by record; they take the place of those on file
	Visits    []Visit       // the open visits the rules want now
	Opens     []OpenedVisit // what records called for; the rules want none of their kinds
	Seen      *SeenHazard   // the danger that this record tells of, nil for none

	Deviations []Deviation // where the record, or one that it puts in another light, departs from the policy
}

// RecordAnswer is what the sender of a record is told. The same record sent
// again gets the same answer.
type RecordAnswer struct {
	RecordID string      `json:"record_id"`
	TreeID   int64       `json:"tree_id"`
	Closed   []int64     `json:"visits_closed"`
	Next     []Visit     `json:"next_visits"`
	Watch    []WatchItem `json:"watch"` // the tree's open items, with their letters
	Replayed bool        `json:"-"`     // the record was known; nothing was written
}

// Closes returns the visits that a finished piece of work completes: the one it
// names, though the rules have withdrawn it since, and any open one whose lead kind it did. It does not
// close a visit whose window opens only after the work, nor one by a record
// that comes after a later one of the same kind: that is the visit after this one. A visit that
// records called for is closed by the one that did what they saw.
func (in *RecordInput) Closes(f *Folded) []int64 {
	if in.Record.Outcome != OutcomeDone {
		return nil
	}
	var ids []int64
	this := in.past()
	for i := range in.Open {
		v := &in.Open[i]
		did := slices.Contains(in.Record.Kinds, v.Kind) && v.Window.Earliest <= in.On && !in.doneSince(&this, v.Kind)
		if v.Origin == FromHazard || v.Origin == FromRecord {
			did = slices.ContainsFunc(f.Opened, func(o Opened) bool { return o.Kind == v.Kind && o.DoneBy == in.Record.ID })
		}
		if did || v.ID == in.Record.VisitID {
			ids = append(ids, v.ID)
		}
	}
	if p := in.Planned; p != nil && p.Progress == Withdrawn {
		ids = append(ids, p.ID)
	}
	return ids
}

func (in *RecordInput) doneSince(this *PastRecord, k WorkKind) bool {
	return slices.ContainsFunc(in.Past, func(p PastRecord) bool { return p.did(k) && p.compare(this) > 0 })
}

// past is the record as one of its tree's.
func (in *RecordInput) past() PastRecord {
	p := PastRecord{Record: in.Record, On: in.On}
	if in.Planned != nil {
		p.Lead = in.Planned.Kind
	}
	return p
}

// Fold reads all records of the tree, with this one, over its base.
func (in *RecordInput) Fold(rules FoldRules) Folded {
	return Fold(in.Base, in.Tree.Watch, append(slices.Clip(in.Past), in.past()), rules)
}

// WorkEntry is one record of a tree's history as it is listed.
type WorkEntry struct {
	Record  WorkRecord `json:"record"`
	DoneOn  Date       `json:"done_on"`
	Actor   string     `json:"actor"`
	Arrived time.Time  `json:"received_at"`
}

// Measurement is one dated set of sizes.
type Measurement struct {
	On       Date   `json:"on"`
	Source   string `json:"source"` // import, field, history
	RecordID string `json:"record_id,omitempty"`

	DBH      geo.Length `json:"dbh_mm"`
	Height   geo.Length `json:"height_mm"`
	Crown    geo.Length `json:"crown_spread_mm"`
	BaseRoad geo.Length `json:"base_road_mm"`
	BaseWalk geo.Length `json:"base_walk_mm"`
}
