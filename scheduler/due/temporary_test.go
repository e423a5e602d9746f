package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// Temporary branches are out by 25 to 30 mm (common practice, a figure of the
// policy), before they reach the small cut.
func TestTemporaryBranchHasItsOwnLimit(t *testing.T) {
	for _, tc := range []struct {
		limit  geo.Length
		latest string
	}{{30, "2027-03-31"}, {49, "2030-03-31"}} {
		e := presetEngine(t, "lower-midwest", both(evenPace, func(p *scheduler.Policy) { p.Training.Structure.TemporaryCut = tc.limit }))
		tree := maple()
		tree.DBH, tree.Height = 140, 4000
		tree.Watch = []scheduler.WatchItem{item("A", "temporary branch", 24, 110, scheduler.RemoveLater, "")}
		v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
		if v.Window.Latest != day(tc.latest) || (reasonOf(v, "training.temporary") != "") != (tc.limit == 30) {
			t.Errorf("limit %s: %+v %+v", tc.limit, v.Window, v.Reasons)
		}
		if tc.limit == 30 && (!strings.Contains(reasonOf(v, "training.temporary"), "past the limit of a temporary branch, 30 mm") || v.Class != 3) {
			t.Errorf("class %d: %s", v.Class, reasonOf(v, "training.temporary"))
		}
	}
}

// Past its own limit a temporary branch is still bound by the small cut.
func TestTemporaryPastItsLimitKeepsTheSmallCut(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.DBH, tree.Height = 140, 4000
	tree.Watch = []scheduler.WatchItem{item("A", "temporary branch", 43, 110, scheduler.RemoveLater, "")}
	v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
	if !strings.Contains(reasonOf(v, "training.small_cut"), "past the small cut of 50 mm") || reasonOf(v, "training.never_small") != "" {
		t.Errorf("%+v", v.Reasons)
	}
}

func TestTemporariesLargestFirst(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.Watch = []scheduler.WatchItem{
		item("A", "temporary branch", 8, 70, scheduler.RemoveLater, "2026-01-14"),
		item("B", "temporary branch", 22, 70, scheduler.RemoveLater, ""),
		item("C", "competing leader", 30, 70, scheduler.HoldTier, ""),
		item("D", "temporary branch", 12, 70, scheduler.RemoveLater, ""),
		item("E", "temporary branch", 19, 70, scheduler.RemoveLater, ""),
	}
	v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
	want := "Temporary branches, largest first: take out B (22 mm (0.9 in)), E (19 mm (0.7 in)); reduce to a side branch D (12 mm (0.5 in)); " +
		"leave for the next visits A (8 mm (0.3 in)); keep the walk side back from day one, the twiggiest go last."
	if v.Objectives[1] != want || !strings.HasPrefix(v.Objectives[0], "Reduce again C") {
		t.Errorf("%q", v.Objectives)
	}
}

// Over two to four visits (common practice) all temporaries of an ordinary tree
// are out, no later one thicker than one before it, none past the small cut.
func TestTemporariesGoInTwoToFourVisits(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for n := 2; n <= 9; n++ {
		tree, site := maple(), apart()
		for i := range n {
			tree.Watch = append(tree.Watch, item(string(rune('A'+i)), "temporary branch", geo.Length(6+2*i), 70, scheduler.RemoveLater, ""))
		}
		visits := 0
		for on := day("2027-12-01"); len(tree.Watch) > 0 && visits < 9; on = on.AddYears(3) {
			d := draft{e: e, t: &tree, s: &site, today: on, p: e.species["ACRU"], stage: scheduler.StageTemporaries}
			d.proj = d.p.curve.Project(tree, on)
			before := make([]scheduler.WatchItem, len(tree.Watch))
			for i, w := range tree.Watch {
				before[i] = w
				if d.branchAt(&w, on).branch > 50 {
					t.Fatalf("%d temporaries: %s is %.0f mm at visit %d", n, w.Letter, d.branchAt(&w, on).branch, visits+1)
				}
			}
			d.watchDone(on)
			visits++
			for _, gone := range before {
				for _, left := range tree.Watch {
					if has(tree.Watch, gone.Letter) {
						continue
					}
					if a, b := d.branchAt(&gone, on), d.branchAt(&left, on); a.branch < b.branch-1 {
						t.Fatalf("%d temporaries: %s (%.0f mm) goes before %s (%.0f mm)", n, gone.Letter, a.branch, left.Letter, b.branch)
					}
				}
			}
		}
		if visits < 2 || visits > 4 {
			t.Errorf("%d temporaries go in %d visits", n, visits)
		}
	}
}

func has(list []scheduler.WatchItem, letter string) bool {
	for i := range list {
		if list[i].Letter == letter {
			return true
		}
	}
	return false
}

// A temporary that would pass its limit before the next visit goes, whatever the share.
func TestTemporaryThatCannotWaitGoes(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Training.Structure.TemporaryShare = 10 })
	tree, site := maple(), apart()
	for i, mm := range []geo.Length{28, 27, 6} {
		tree.Watch = append(tree.Watch, item(string(rune('A'+i)), "temporary branch", mm, 70, scheduler.RemoveLater, ""))
	}
	on := day("2026-02-01")
	d := draft{e: e, t: &tree, s: &site, today: on, p: e.species["ACRU"], stage: scheduler.StageTemporaries}
	d.proj = d.p.curve.Project(tree, on)
	if g := d.temporariesOn(on); g.out != 2 || !g.goes(0) || !g.goes(1) || g.goes(2) {
		t.Errorf("%d of %d go: %v", g.out, g.all, g.item[:g.all])
	}
}
