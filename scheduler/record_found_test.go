package scheduler

import (
	"slices"
	"testing"
)

func found(id string, state TreeState, on Date, kinds ...WorkKind) PastRecord {
	r := WorkRecord{ID: id, TreeID: 5, Finish: on.Time(), Kinds: kinds, Outcome: OutcomeDone, Found: state}
	return PastRecord{Record: r, On: on}
}

// What is dead stays dead until somebody finds it alive, in whatever order the
// records come.
func TestFoundDead(t *testing.T) {
	on := day(2027, 9, 10)
	dead := found("a", Dead, on, Establishment)
	refused := dead
	refused.Record.Outcome, refused.Record.CouldNot = OutcomeNotDone, DeadOrHazard
	for _, c := range []struct {
		name string
		list []PastRecord
		want TreeState
		seen Date
	}{
		{"found dead", []PastRecord{dead}, Dead, on},
		{"found dead, and nothing done", []PastRecord{refused}, Dead, on},
		{"later work on it", []PastRecord{dead, found("b", "", on+40, Training)}, Dead, on + 40},
		{"found alive later", []PastRecord{dead, found("b", Alive, on+40, Inspection)}, Alive, on + 40},
		{"found dead after all", []PastRecord{found("b", Alive, on-40, Inspection), dead}, Dead, on},
		{"taken down", []PastRecord{dead, found("b", "", on+40, Removal)}, Stump, on + 40},
		{"dead and taken down on one visit", []PastRecord{found("a", Dead, on, Removal, StumpGrinding)}, Removed, on},
		{"a stump is not found alive", []PastRecord{found("a", "", on, Removal), found("b", Alive, on+40, Inspection)}, Stump, on + 40},
		{"older than the inventory's look", []PastRecord{found("a", Dead, day(2026, 1, 5), Inspection)}, Alive, day(2026, 1, 5)},
	} {
		for range 2 {
			got := Fold(youngTree(), nil, c.list, FoldRules{}).Tree
			if got.State != c.want || got.LastVisit != c.seen {
				t.Errorf("%s: %s, last seen %s; want %s, %s", c.name, got.State, got.LastVisit, c.want, c.seen)
			}
			slices.Reverse(c.list)
		}
	}
}

func TestFoundIsChecked(t *testing.T) {
	for _, c := range []struct {
		name  string
		found TreeState
		taken int
		field string
	}{
		{"dead", Dead, 0, ""},
		{"alive", Alive, 20, ""},
		{"not said", "", 20, ""},
		{"a stump", Stump, 0, "found"},
		{"no word of ours", "gone", 0, "found"},
		{"live crown of a dead tree", Dead, 10, "live_crown_pct"},
	} {
		var faults checker
		(&WorkRecord{Found: c.found, LiveCrown: c.taken}).checkFound(&faults)
		if got := len(faults.faults); got > 1 || (got == 1) != (c.field != "") || (got == 1 && faults.faults[0].Field != c.field) {
			t.Errorf("%s: %+v, want a fault of %q", c.name, faults.faults, c.field)
		}
	}
}

// Nothing keeps a dead tree from being taken down, and its removal is all that
// the code asked for.
func TestRemovalOfTheDead(t *testing.T) {
	on := day(2027, 9, 10)
	dead := found("a", Dead, on, Training)
	dead.Record.Outcome, dead.Record.CouldNot = OutcomeNotDone, DeadOrHazard
	f := Fold(youngTree(), nil, []PastRecord{dead}, FoldRules{})
	for kind, held := range map[WorkKind]bool{Removal: false, MakeSafe: false, Inspection: false, Training: true, StumpGrinding: true} {
		v := Visit{Kind: kind, State: Due}
		v.Carry(f.FollowUps, on)
		if (v.State == Held) != held {
			t.Errorf("%s is %s", kind, v.State)
		}
	}
	f = Fold(youngTree(), nil, []PastRecord{dead, found("b", "", on+9, Removal)}, FoldRules{})
	if f.FollowUps[0].EndedOn != on+9 || f.Opened[0].DoneBy != "b" {
		t.Errorf("the removal left open: %+v, %+v", f.FollowUps, f.Opened)
	}
}
