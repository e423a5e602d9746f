package scheduler

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
)

func day(y int, m time.Month, d int) Date { return NewDate(y, m, d) }

func youngTree() Tree {
	return Tree{
		ID: 5, State: Alive, Planted: day(2019, 11, 1), Precision: PreciseDay, Stage: StageLeader, Vigour: VigourGood,
		DBH: 106, Height: 4100, Crown: geo.None, MeasuredOn: day(2026, 3, 1), BaseRoad: 1600, BaseWalk: 1600, BaseOn: day(2026, 3, 1),
		Permanent: geo.None, Caliper: 45,
	}
}

// applied is the tree after one more record, and the rules that the record breaks.
func applied(t Tree, r WorkRecord, on Date) (Tree, []Fault) {
	if faults := r.Against(&t, on); len(faults) > 0 {
		return t, faults
	}
	return Fold(t, t.Watch, []PastRecord{{Record: r, On: on}}, FoldRules{}).Tree, nil
}

func TestApplyTrainingMovesFacts(t *testing.T) {
	on := day(2026, 11, 20)
	rec := WorkRecord{
		TreeID: 5, Kinds: []WorkKind{Training, WalkClearance}, Outcome: OutcomeDone, LiveCrown: 20,
		BaseWalk: 2000, DBH: 112, Stage: StageTemporaries,
		Watch: []WatchFinding{
			{What: "competing leader", Height: 1800, Side: SideRoad, Diameter: 56, StemDiameter: 70, IncludedBark: true, Done: "reduced by half", Reduced: true, Intent: HoldTier},
			{What: "crossing branch", Diameter: 30, StemDiameter: 70, Done: "reduced", Reduced: true, Intent: RemoveLater},
		},
	}
	got, faults := applied(youngTree(), rec, on)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	want := youngTree()
	want.LastTraining, want.LastRaise, want.LastVisit = on, on, on
	want.DoseSeason, want.DoseUsed = 2027, 20 // the dormant season draws on the next spring's crown
	want.BaseWalk, want.BaseOn, want.DBH, want.MeasuredOn = 2000, on, 112, on
	want.Stage = StageTemporaries
	want.Watch = []WatchItem{
		{TreeID: 5, Letter: "A", What: "competing leader", Height: 1800, Side: SideRoad, Diameter: 56, StemDiameter: 70, IncludedBark: true, Done: "reduced by half", Intent: HoldTier, ReducedOn: on, SeenOn: on},
		{TreeID: 5, Letter: "B", What: "crossing branch", Height: geo.None, Diameter: 30, StemDiameter: 70, Done: "reduced", Intent: RemoveLater, ReducedOn: on, SeenOn: on, NextCheck: day(2027, 11, 1), Place: 1},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestApplyNeverMovesAFactBack(t *testing.T) {
	newer, _ := applied(youngTree(), WorkRecord{
		TreeID: 5, Kinds: []WorkKind{Training}, Outcome: OutcomeDone, LiveCrown: 10, DBH: 120, BaseRoad: 2500, Vigour: VigourFair,
		Stage: StageRaising, Watch: []WatchFinding{{What: "union", Intent: WatchOnly}},
	}, day(2026, 11, 20))
	late := WorkRecord{
		TreeID: 5, Kinds: []WorkKind{Training}, Outcome: OutcomeDone, LiveCrown: 25, DBH: 108, BaseRoad: 1700, Vigour: VigourPoor,
		Stage: StageLeader, Permanent: 900, Watch: []WatchFinding{{Letter: "A", What: "old name", Resolved: true}},
	}
	got, faults := applied(newer, late, day(2026, 4, 2))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if diff := cmp.Diff(newer, got); diff != "" {
		t.Errorf("a late record moved facts: %s", diff)
	}
}

func TestApplyPartAndNotDone(t *testing.T) {
	on := day(2026, 6, 10)
	part, _ := applied(youngTree(), WorkRecord{TreeID: 5, Kinds: []WorkKind{Training}, Outcome: OutcomePart, LiveCrown: 15}, on)
	if part.LastTraining != 0 || part.LastVisit != on || part.DoseSeason != 2026 || part.DoseUsed != 15 {
		t.Errorf("part: %+v", part)
	}
	again, _ := applied(part, WorkRecord{TreeID: 5, Kinds: []WorkKind{Training}, Outcome: OutcomeDone, LiveCrown: 10}, on.AddDays(3))
	if again.DoseUsed != 25 || again.LastTraining != on.AddDays(3) {
		t.Errorf("second half: dose %d, last training %s", again.DoseUsed, again.LastTraining)
	}
	not, _ := applied(youngTree(), WorkRecord{TreeID: 5, Kinds: []WorkKind{Training}, Outcome: OutcomeNotDone, CouldNot: NestFound}, on)
	if diff := cmp.Diff(youngTree(), not); diff != "" {
		t.Errorf("not done: %s", diff)
	}
}

func TestApplyRemovalAndStump(t *testing.T) {
	tree, _ := applied(youngTree(), WorkRecord{TreeID: 5, Kinds: []WorkKind{Removal}, Outcome: OutcomeDone}, day(2026, 6, 1))
	if tree.State != Stump {
		t.Errorf("after removal: %s", tree.State)
	}
	tree, _ = applied(tree, WorkRecord{TreeID: 5, Kinds: []WorkKind{StumpGrinding}, Outcome: OutcomeDone}, day(2026, 7, 1))
	if tree.State != Removed {
		t.Errorf("after grinding: %s", tree.State)
	}
}

func TestApplyWatchLetters(t *testing.T) {
	tree := youngTree()
	tree.Watch = []WatchItem{
		{ID: 1, TreeID: 5, Letter: "A", What: "temporary", Intent: RemoveLater, Resolved: true, SeenOn: day(2025, 11, 1)},
		{ID: 2, TreeID: 5, Letter: "C", What: "stem", Diameter: 40, Intent: RemoveLater, ReducedOn: day(2025, 11, 1), SeenOn: day(2025, 11, 1)},
	}
	got, faults := applied(tree, WorkRecord{
		TreeID: 5, Kinds: []WorkKind{Training}, Outcome: OutcomeDone,
		Watch: []WatchFinding{{Letter: "C", Done: "removed at the collar"}, {What: "sprout", Intent: DecideNext}},
	}, day(2026, 11, 20))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if !got.Watch[1].Resolved || got.Watch[1].Diameter != 40 {
		t.Errorf("removed item: %+v", got.Watch[1])
	}
	if got.Watch[2].Letter != "D" {
		t.Errorf("new letter %q: a letter in use is not used twice", got.Watch[2].Letter)
	}
	if tree.Watch[1].Resolved {
		t.Error("the caller's tree was changed")
	}
	_, faults = applied(tree, WorkRecord{TreeID: 5, Kinds: []WorkKind{Training}, Outcome: OutcomeDone, Watch: []WatchFinding{{Letter: "Z"}}}, day(2026, 11, 20))
	if len(faults) != 1 || faults[0].Field != "watch[0].letter" || faults[0].Value != "Z" {
		t.Errorf("unknown letter: %v", faults)
	}
	_, faults = applied(tree, WorkRecord{TreeID: 6, Kinds: []WorkKind{Training}, Outcome: OutcomeDone}, day(2018, 1, 1))
	if len(faults) != 2 {
		t.Errorf("other tree, before planting: %v", faults)
	}
}

func TestNextCheckLeavesAFullGrowingSeason(t *testing.T) {
	for _, c := range []struct {
		name    string
		reduced Date
		next    Date
	}{
		{"in leaf: that season is not a full one", day(2026, 6, 10), day(2027, 11, 1)},
		{"leaf fall", day(2026, 11, 20), day(2027, 11, 1)},
		{"late winter", day(2027, 2, 10), day(2027, 11, 1)},
	} {
		w := newWatch(1, "A", &WatchFinding{What: "stem", Reduced: true, Intent: RemoveLater}, c.reduced, MonthSpan{})
		if w.NextCheck != c.next {
			t.Errorf("%s: next check %s, want %s", c.name, w.NextCheck, c.next)
		}
	}
}

func TestLetters(t *testing.T) {
	for n := 1; n <= 702; n++ {
		if got := letterRank(letterOf(n)); got != n {
			t.Fatalf("%d: %q is %d", n, letterOf(n), got)
		}
	}
	if letterOf(27) != "AA" || letterOf(702) != "ZZ" || letterOf(703) != "" || letterRank("a") != 0 || letterRank("ABC") != 0 {
		t.Error("ends of the alphabet")
	}
}

func FuzzApplyRecord(f *testing.F) {
	f.Add(int32(740000), int32(30), uint8(3), 20, int32(120))
	f.Add(int32(739000), int32(-400), uint8(7), 100, int32(0))
	f.Fuzz(func(t *testing.T, on, gap int32, kinds uint8, crown int, dbh int32) {
		if on < 730000 || on > 760000 || gap < -3000 || gap > 3000 || crown < 0 || crown > 100 || kinds == 0 {
			return // outside what Check lets through: it refuses a record without kinds of work
		}
		rec := WorkRecord{TreeID: 5, Outcome: OutcomeDone, LiveCrown: crown, DBH: geo.Length(dbh)}
		for i, k := range workKinds[:8] {
			if kinds&(1<<i) != 0 {
				rec.Kinds = append(rec.Kinds, k)
			}
		}
		tree := youngTree()
		tree.Precision = PreciseYear
		once, _ := applied(tree, rec, Date(on))
		twice, _ := applied(once, rec, Date(on+gap))
		if twice.LastVisit < once.LastVisit || twice.LastTraining < once.LastTraining || twice.MeasuredOn < once.MeasuredOn ||
			twice.DoseSeason < once.DoseSeason || twice.DoseUsed > 100 || twice.Stage.rank() < once.Stage.rank() {
			t.Errorf("a fact moved back: %+v then %+v", once, twice)
		}
	})
}
