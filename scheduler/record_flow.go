package scheduler

import (
	"time"

	"limbround/geo"
)

// RecordInput is what the decision about one work record is made from. It is
// read with the tree's row locked.
type RecordInput struct {
	Record    WorkRecord
	On        Date // the city's civil date of the finish
	Today     Date // the city's civil date of the receipt
	Tree      Tree // with all its watch items, resolved ones too
	Site      Site
	Open      []Visit // the tree's open visits
	Planned   *Visit  // the visit that the record names, whatever became of it; nil for unplanned work
	FollowUps []FollowUp
}

// RecordOutcome is the decision: the new facts and the visits that follow.
type RecordOutcome struct {
	Tree     Tree
	Closes   []int64   // open visits that the work completed
	Ends     []int64   // follow-ups that are over
	FollowUp *FollowUp // set by the record's code, nil for none
	Visits   []Visit   // the open visits the rules want now
	Opens    []OpenedVisit
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

// Closes returns the open visits that a finished piece of work completes: the
// one it names, and any whose lead kind it did, unless that visit's window opens
// only after the work was done (then it is the visit after this one).
func (in *RecordInput) Closes() []int64 {
	if in.Record.Outcome != OutcomeDone {
		return nil
	}
	var ids []int64
	for i := range in.Open {
		v := &in.Open[i]
		did := false
		for _, k := range in.Record.Kinds {
			did = did || k == v.Kind
		}
		if v.ID == in.Record.VisitID || (did && v.Window.Earliest <= in.On) {
			ids = append(ids, v.ID)
		}
	}
	return ids
}

// Lead is the kind of work that the record is mainly about and the skill that was planned for it.
func (in *RecordInput) Lead() (WorkKind, Skill) {
	if in.Planned != nil {
		return in.Planned.Kind, in.Planned.Skill
	}
	for i := range in.Open {
		if in.Open[i].Kind == in.Record.Kinds[0] {
			return in.Open[i].Kind, in.Open[i].Skill
		}
	}
	return in.Record.Kinds[0], Ground
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
