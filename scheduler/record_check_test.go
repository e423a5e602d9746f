package scheduler

import (
	"testing"
	"time"

	"limbround/geo"
)

func goodRecord() WorkRecord {
	return WorkRecord{
		ID: "6f1d3a50-0000-4000-8000-000000000001", TreeID: 5, By: "R. Osei",
		Start: time.Date(2026, 11, 20, 14, 0, 0, 0, time.UTC), Finish: time.Date(2026, 11, 20, 14, 6, 0, 0, time.UTC),
		Kinds: []WorkKind{Training}, Outcome: OutcomeDone, LiveCrown: 20,
	}
}

func TestRecordCheckNamesTheField(t *testing.T) {
	now := time.Date(2026, 11, 20, 15, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		field string
		spoil func(*WorkRecord)
	}{
		{"", func(*WorkRecord) {}},
		{"id", func(r *WorkRecord) { r.ID = "17" }},
		{"id", func(r *WorkRecord) { r.ID = "6f1d3a50-0000-4000-8000-00000000000g" }},
		{"tree_id", func(r *WorkRecord) { r.TreeID = 0 }},
		{"by", func(r *WorkRecord) { r.By = " " }},
		{"start", func(r *WorkRecord) { r.Start = time.Time{} }},
		{"finish", func(r *WorkRecord) { r.Finish = time.Time{} }},
		{"finish", func(r *WorkRecord) { r.Finish = r.Start.Add(-time.Minute) }},
		{"finish", func(r *WorkRecord) { r.Finish = now.Add(25 * time.Hour); r.Start = r.Finish }},
		{"", func(r *WorkRecord) { r.Finish = now.Add(23 * time.Hour); r.Start = r.Finish }},
		{"finish", func(r *WorkRecord) { r.Start = r.Finish.Add(-25 * time.Hour) }},
		{"kinds", func(r *WorkRecord) { r.Kinds = nil }},
		{"kinds", func(r *WorkRecord) { r.Kinds = []WorkKind{"topping"} }},
		{"outcome", func(r *WorkRecord) { r.Outcome = "perhaps" }},
		{"could_not", func(r *WorkRecord) { r.Outcome = OutcomeNotDone; r.LiveCrown = 0 }},
		{"could_not", func(r *WorkRecord) { r.CouldNot = Weather }},
		{"could_not", func(r *WorkRecord) { r.Outcome = OutcomePart; r.CouldNot = "bored" }},
		{"", func(r *WorkRecord) { r.Outcome = OutcomePart; r.CouldNot = DoseReached }},
		{"live_crown_pct", func(r *WorkRecord) { r.LiveCrown = 101 }},
		{"live_crown_pct", func(r *WorkRecord) { r.Outcome = OutcomeNotDone; r.CouldNot = Weather }},
		{"cuts", func(r *WorkRecord) { r.Cuts.Over4 = -1 }},
		{"source", func(r *WorkRecord) { r.Source = "hearsay" }},
		{"dbh_mm", func(r *WorkRecord) { r.DBH = 5 * geo.Metre }},
		{"height_mm", func(r *WorkRecord) { r.Height, r.BaseRoad = 3000, 3500 }},
		{"stage", func(r *WorkRecord) { r.Stage = "grown" }},
		{"vigour", func(r *WorkRecord) { r.Vigour = "splendid" }},
		{"watch[0].what", func(r *WorkRecord) { r.Watch = []WatchFinding{{Intent: WatchOnly}} }},
		{"watch[0].intent", func(r *WorkRecord) { r.Watch = []WatchFinding{{What: "stem"}} }},
		{"watch[0].letter", func(r *WorkRecord) { r.Watch = []WatchFinding{{Letter: "a"}} }},
		{"watch[0].side", func(r *WorkRecord) { r.Watch = []WatchFinding{{Letter: "A", Side: "up"}} }},
		{"hazard.class", func(r *WorkRecord) { r.Hazard = &Hazard{What: "hanger", Class: 2, CalledTo: "desk"} }},
		{"hazard.called_to", func(r *WorkRecord) { r.Hazard = &Hazard{What: "hanger"} }},
		{"hazard.what", func(r *WorkRecord) { r.Hazard = &Hazard{CalledTo: "desk"} }},
	} {
		r := goodRecord()
		c.spoil(&r)
		faults := r.Check(now)
		switch {
		case c.field == "" && len(faults) > 0:
			t.Errorf("a good record is refused: %v", faults)
		case c.field != "" && (len(faults) != 1 || faults[0].Field != c.field || faults[0].Rule == ""):
			t.Errorf("%s: faults %v", c.field, faults)
		}
	}
}
