package scheduler

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// What a record of care leaves on the tree; part of a visit leaves no date, and
// water and sprouts are no visit to the tree.
func TestRecordsOfCareMoveTheirFacts(t *testing.T) {
	on := day(2026, 7, 3)
	for _, c := range []struct {
		name    string
		outcome Outcome
		kinds   []WorkKind
		want    func(*Tree)
	}{
		{"made safe", OutcomeDone, []WorkKind{MakeSafe}, func(t *Tree) { t.BrokenOn, t.LastVisit = on, on }},
		{"made safe in part", OutcomePart, []WorkKind{MakeSafe}, func(t *Tree) { t.LastVisit = on }},
		{"made safe and cut clean", OutcomeDone, []WorkKind{MakeSafe, Restoration}, func(t *Tree) { t.BrokenOn, t.LastRestored, t.LastVisit = on, on, on }},
		{"inspected", OutcomeDone, []WorkKind{Inspection}, func(t *Tree) { t.LastInspected, t.LastVisit = on, on }},
		{"ties off", OutcomeDone, []WorkKind{Establishment}, func(t *Tree) { t.LastInspected, t.LastVisit = on, on }},
		{"watered", OutcomeDone, []WorkKind{Watering}, func(t *Tree) { t.LastWatered = on }},
		{"sprouts and water", OutcomeDone, []WorkKind{BasalSprouts, Watering}, func(t *Tree) { t.LastSprouts, t.LastWatered = on, on }},
		{"sprouts on the way", OutcomeDone, []WorkKind{WalkClearance, BasalSprouts}, func(t *Tree) { t.LastSprouts, t.LastRaise, t.LastVisit = on, on, on }},
	} {
		want := youngTree()
		want.DoseSeason = MonthSpan{}.DoseSeason(on)
		c.want(&want)
		r := WorkRecord{ID: "1", TreeID: 5, Kinds: c.kinds, Outcome: c.outcome, Finish: on.Time()}
		got, faults := applied(youngTree(), r, on)
		if diff := cmp.Diff(want, got); diff != "" || len(faults) > 0 {
			t.Errorf("%s: %v %s", c.name, faults, diff)
		}
		older := r
		older.ID = "2"
		if got, _ = applied(got, older, on-30); got.BrokenOn != want.BrokenOn || got.LastWatered != want.LastWatered || got.LastInspected != want.LastInspected {
			t.Errorf("%s: an older record moved a fact back: %+v", c.name, got)
		}
	}
}
