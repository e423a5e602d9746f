package scheduler

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"

	"limbround/geo"
)

// seen is the record that a set begins with: its items' letters are known to
// whoever wrote the others.
func seen() PastRecord {
	on := day(2026, 4, 2)
	return PastRecord{On: on, Record: WorkRecord{
		ID: "00", TreeID: 5, Finish: on.Time(), Kinds: []WorkKind{FirstLook}, Outcome: OutcomeDone,
		Watch: []WatchFinding{{What: "competing leader", Diameter: 40, Intent: RemoveLater}, {What: "union", Intent: WatchOnly}},
	}}
}

// anyRecord is a record as a crew might write it on a tree whose items A and B
// are known.
func anyRecord(r *rand.Rand, n int) PastRecord {
	at := time.Date(2026, 10, 1, 7, 0, 0, 0, time.UTC).Add(time.Duration(r.IntN(8*4)) * 6 * time.Hour)
	p := PastRecord{On: DateOf(at), Record: WorkRecord{
		ID: fmt.Sprintf("%02d", n), TreeID: 5, Finish: at, Outcome: OutcomeDone,
		Kinds: []WorkKind{workKinds[r.IntN(len(workKinds))], workKinds[r.IntN(len(workKinds))]},
	}}
	w := &p.Record
	if r.IntN(4) == 0 {
		p.Lead = workKinds[r.IntN(len(workKinds))]
	}
	switch r.IntN(4) {
	case 0:
		w.Outcome = OutcomePart
	case 1:
		w.Outcome, w.CouldNot = OutcomeNotDone, CouldNots()[r.IntN(len(CouldNots()))]
	}
	if w.Outcome != OutcomeNotDone {
		w.LiveCrown = r.IntN(30)
	}
	size := func(base int) geo.Length {
		if r.IntN(2) == 0 {
			return 0
		}
		return geo.Length(base + r.IntN(50))
	}
	if r.IntN(4) == 0 {
		w.Found = []TreeState{Dead, Alive}[r.IntN(2)]
	}
	w.DBH, w.Height, w.BaseRoad, w.BaseWalk, w.Permanent = size(100), size(4000), size(1500), size(1700), size(2500)
	if r.IntN(3) == 0 {
		w.Stage, w.Vigour = Stages()[r.IntN(6)], []Vigour{VigourGood, VigourFair, VigourPoor}[r.IntN(3)]
	}
	if r.IntN(5) == 0 {
		w.Hazard = &Hazard{What: "hanging limb " + w.ID, Class: r.IntN(2), CalledTo: "desk"}
	}
	for range r.IntN(3) {
		f := WatchFinding{Diameter: size(20), Reduced: r.IntN(2) == 0, Resolved: r.IntN(6) == 0, IncludedBark: r.IntN(4) == 0}
		if r.IntN(2) == 0 {
			f.Letter = []string{"A", "B"}[r.IntN(2)]
		} else {
			f.What = fmt.Sprintf("branch %s-%d", w.ID, len(w.Watch))
		}
		f.Intent = []Intent{RemoveLater, HoldTier, DecideNext, WatchOnly}[r.IntN(4)]
		w.Watch = append(w.Watch, f)
	}
	return p
}

// arrive folds the records as they come: each time over all that have come so far.
func arrive(base Tree, list []PastRecord, rules FoldRules) Folded {
	var out Folded
	for i := range list {
		out = Fold(base, out.Tree.Watch, list[:i+1], rules)
	}
	return out
}

// content is what must not depend on the order of arrival.
func content(f Folded) Folded {
	f.Tree.Watch = slices.Clone(f.Tree.Watch)
	slices.SortFunc(f.Tree.Watch, func(a, b WatchItem) int {
		return cmp.Or(cmp.Compare(a.RecordID, b.RecordID), cmp.Compare(a.Place, b.Place))
	})
	for i := range f.Tree.Watch {
		f.Tree.Watch[i].Letter = ""
	}
	return f
}

// raise is a rule that depends on the tree, as the engine's do.
var raise = FoldRules{Skill: func(t *Tree, _ WorkKind, _ Date) Skill {
	if t.Height > 4020 {
		return Lift
	}
	return Ground
}}

// The same records end the same in every order of arrival.
func TestRecordsEndTheSameInEveryOrder(t *testing.T) {
	for seed := range uint64(25) {
		r := rand.New(rand.NewPCG(seed, 1))
		list := []PastRecord{seen()}
		for n := range 5 {
			list = append(list, anyRecord(r, n+1))
		}
		want := content(arrive(youngTree(), list, raise))
		permute(list[1:], func() {
			if diff := gocmp.Diff(want, content(arrive(youngTree(), list, raise))); diff != "" {
				t.Fatalf("seed %d, order %v: %s", seed, ids(list), diff)
			}
		})
	}
}

func FuzzRecordsEndTheSame(f *testing.F) {
	for seed := range uint64(20) {
		f.Add(seed, uint8(6+seed))
	}
	f.Fuzz(func(t *testing.T, seed uint64, n uint8) {
		r := rand.New(rand.NewPCG(seed, 2))
		list := []PastRecord{seen()}
		for i := range int(n % 40) {
			list = append(list, anyRecord(r, i+1))
		}
		want := content(arrive(youngTree(), list, raise))
		for range 4 {
			r.Shuffle(len(list)-1, func(i, j int) { list[i+1], list[j+1] = list[j+1], list[i+1] })
			if diff := gocmp.Diff(want, content(arrive(youngTree(), list, raise))); diff != "" {
				t.Fatalf("order %v: %s", ids(list), diff)
			}
		}
	})
}

// Reading all records at once is the same as taking each in the order of the
// work and putting it on top of the tree that the ones before it made.
func TestFoldIsOneRecordAfterTheOther(t *testing.T) {
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 3))
		list := []PastRecord{seen()}
		for n := range 12 {
			list = append(list, anyRecord(r, n+1))
		}
		slices.SortFunc(list, func(a, b PastRecord) int { return a.compare(&b) })
		step := youngTree()
		for i := range list {
			step, _ = applied(step, list[i].Record, list[i].On)
		}
		if diff := gocmp.Diff(step, arrive(youngTree(), list, raise).Tree); diff != "" {
			t.Fatalf("seed %d: %s", seed, diff)
		}
	}
}

// An import makes a new base: its facts stand, and the records that they hold
// already are not counted twice. An older record that comes later moves nothing back.
func TestFoldOverANewBase(t *testing.T) {
	rec := func(id string, on Date, crown int, dbh geo.Length) PastRecord {
		return PastRecord{On: on, Record: WorkRecord{
			ID: id, TreeID: 5, Finish: on.Time(), Kinds: []WorkKind{Training}, Outcome: OutcomeDone, LiveCrown: crown, DBH: dbh,
		}}
	}
	first := rec("a", day(2026, 6, 1), 10, 110)
	base := Fold(youngTree(), nil, []PastRecord{first}, FoldRules{}).Tree
	base.DBH, base.MeasuredOn = 118, day(2026, 9, 1) // the city's survey
	first.InBase = true
	list := []PastRecord{first, rec("c", day(2026, 10, 1), 5, 0), rec("b", day(2026, 5, 1), 7, 108)}
	got := Fold(base, nil, list, FoldRules{}).Tree
	if got.DBH != 118 || got.DoseUsed != 22 || got.LastTraining != day(2026, 10, 1) {
		t.Errorf("dbh %s, dose %d, last training %s", got.DBH, got.DoseUsed, got.LastTraining)
	}
}

// A danger that was seen after the work is still there, whichever record was
// received first; one that was seen before it is done with.
func TestMakeSafeEndsWhatWasSeenBefore(t *testing.T) {
	danger := func(id string, d int) PastRecord {
		on := day(2026, 11, d)
		return PastRecord{On: on, Record: WorkRecord{
			ID: id, TreeID: 5, Finish: on.Time(), Kinds: []WorkKind{Training}, Outcome: OutcomeNotDone, CouldNot: DeadOrHazard,
			Hazard: &Hazard{What: "limb " + id, Class: 1, CalledTo: "desk", At: on.Time()},
		}}
	}
	safe := PastRecord{On: day(2026, 11, 5), Record: WorkRecord{
		ID: "c", TreeID: 5, Finish: day(2026, 11, 5).Time(), Kinds: []WorkKind{MakeSafe}, Outcome: OutcomeDone,
	}}
	list := []PastRecord{danger("a", 1), danger("b", 7), safe}
	p := Policy{ID: 3}
	permute(list, func() {
		f := arrive(youngTree(), list, FoldRules{})
		open, seen := f.OpenVisits(list[len(list)-1].Record.ID, &Site{ID: 9, WireClass: WireNone, ToWire: geo.None}, &p)
		if len(open) == 0 || !slices.Equal(open[0].Records, []string{"b"}) || open[0].Done || open[0].Visit.Window.Earliest != day(2026, 11, 7) {
			t.Errorf("%v: open %+v", ids(list), open)
		}
		last := list[len(list)-1].Record.ID
		if late := last == "a"; late != (len(open) == 2 && open[1].Done) || (seen != nil) != (last != "c") {
			t.Errorf("%v: %d visits, seen %v", ids(list), len(open), seen)
		}
	})
}

// permute calls fn for every order of the list (Heap's method).
func permute[T any](list []T, fn func()) {
	var walk func(k int)
	walk = func(k int) {
		if k <= 1 {
			fn()
			return
		}
		for i := range k {
			walk(k - 1)
			if j := 0; k%2 == 0 {
				j = i
				list[j], list[k-1] = list[k-1], list[j]
			} else {
				list[j], list[k-1] = list[k-1], list[j]
			}
		}
	}
	walk(len(list))
}

func ids(list []PastRecord) (out []string) {
	for i := range list {
		out = append(out, list[i].Record.ID)
	}
	return out
}
