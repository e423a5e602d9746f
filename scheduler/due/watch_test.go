package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

func item(letter, what string, mm, stem geo.Length, intent scheduler.Intent, reduced string) scheduler.WatchItem {
	w := scheduler.WatchItem{
		Letter: letter, What: what, Height: 2100, Side: scheduler.SideRoad, Diameter: mm, StemDiameter: stem, Intent: intent, SeenOn: day("2026-01-14"),
	}
	if reduced != "" {
		w.ReducedOn, w.Done = day(reduced), "reduced by half"
	}
	return w
}

func TestCutLimit(t *testing.T) {
	cases := []struct {
		small geo.Length
		decay scheduler.DecayClass
		want  geo.Length
	}{
		{50, scheduler.DecayStrong, 50},
		{50, scheduler.DecayAverage, 50},
		{50, scheduler.DecayWeak, 25}, // one row stricter
		{100, scheduler.DecayWeak, 50},
		{60, scheduler.DecayWeak, 50},
		{25, scheduler.DecayWeak, 12},
	}
	practice := scheduler.PracticeRules{}.WithDefaults()
	common := newCutTable(&practice, 0)
	for _, tc := range cases {
		if got := common.limit(tc.small, tc.decay); got != tc.want {
			t.Errorf("%s, %s: %s, want %s", tc.small, tc.decay, got, tc.want)
		}
	}
}

func TestBranchGrowth(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree, site := maple(), apart()
	d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"]}
	d.proj = d.p.curve.Project(tree, 0)
	from, to := day("2026-01-14"), day("2030-01-14")
	equal := item("A", "competing leader", 35, 70, scheduler.RemoveLater, "")
	slowed := item("B", "competing leader", 35, 70, scheduler.RemoveLater, "2026-01-14")
	shaded := item("C", "temporary branch", 35, 70, scheduler.RemoveLater, "")
	a, b, c := d.branchAt(&equal, to), d.branchAt(&slowed, to), d.branchAt(&shaded, to)
	grown := a.stem - 70
	if want := 70 * (float64(d.proj.At(to).DBH)/float64(d.proj.At(from).DBH) - 1); grown < want*0.98 || grown > want*1.02 || grown < 10 {
		t.Errorf("the stem grows %.1f mm, in proportion to the trunk it would be %.1f", grown, want)
	}
	if a.branch-35 < grown*0.99 || a.ratio() <= 0.5 {
		t.Errorf("in equal light: %+v after %.1f mm of stem growth: the ratio must rise", a, grown)
	}
	if half := (b.branch - 35) / grown; half < 0.49 || half > 0.51 {
		t.Errorf("reduced by half it grows at %.2f of the stem's rate", half)
	}
	if c.ratio() >= 0.5 {
		t.Errorf("a shaded branch: ratio %.2f, must fall", c.ratio())
	}
}

// TestSmallCutDeadline: a branch that passes the small cut pulls the visit to
// the last dormant season in which it is still small.
func TestSmallCutDeadline(t *testing.T) {
	e := presetEngine(t, "lower-midwest", evenPace)
	for _, start := range []geo.Length{20, 30, 38, 42} {
		tree, site := maple(), apart()
		tree.DBH, tree.Height = 140, 4000 // short for its trunk, so that reach bounds nothing
		tree.Watch = []scheduler.WatchItem{item("A", "competing leader", start, 110, scheduler.RemoveLater, "2026-01-14")}
		v := only(t, e.Visits(tree, site, day("2026-11-25")))
		d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"]}
		d.proj = d.p.curve.Project(tree, 0)
		passes := tree.LastTraining
		for d.branchAt(&tree.Watch[0], passes).branch <= 50 {
			passes++
		}
		grace := day("2030-03-31")
		switch {
		case passes > grace.AddDays(250):
			if v.Window.Latest != grace {
				t.Errorf("%s: passes 50 mm on %s, latest %s", start, passes, v.Window.Latest)
			}
		case v.Window.Latest >= passes || v.Window.Latest.AddDays(366) < passes:
			t.Errorf("%s: passes 50 mm on %s, latest %s: not the last season of a small cut", start, passes, v.Window.Latest)
		case reasonOf(v, "training.small_cut") == "":
			t.Errorf("%s: no reason says why: %+v", start, v.Reasons)
		}
		if v.Window.Earliest < day("2026-11-01") {
			t.Errorf("%s: before one full growing season: %+v", start, v.Window)
		}
	}
}

func TestDeadlineBeforeNextSeasonIsClassThree(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.DBH, tree.Height = 140, 4000
	tree.Watch = []scheduler.WatchItem{item("A", "competing leader", 36, 110, scheduler.RemoveLater, "2026-01-14")}
	v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
	latest := v.Window.Latest
	for _, tc := range []struct {
		today scheduler.Date
		class int
	}{{latest.AddDays(-700), 4}, {latest.AddDays(-60), 3}, {latest, 3}} {
		if v = only(t, e.Visits(tree, apart(), tc.today)); v.Class != tc.class {
			t.Errorf("%s before a deadline of %s: class %d, want %d", tc.today, latest, v.Class, tc.class)
		}
	}
}

func TestNeverASmallCut(t *testing.T) {
	e := presetEngine(t, "lower-midwest", evenPace)
	tree := maple()
	tree.Watch = []scheduler.WatchItem{item("B", "competing leader", 56, 70, scheduler.RemoveLater, "2026-01-14")} // ratio 0.8, and 50 mm is past already
	v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
	if !strings.Contains(reasonOf(v, "training.never_small"), "will never be a small cut") {
		t.Errorf("reasons %+v", v.Reasons)
	}
	if v.Window.Latest != day("2030-03-31") {
		t.Errorf("a cut that is lost bounds nothing: %+v", v.Window)
	}
}

func TestWeakCompartmentaliserIsJudgedStricter(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.Species = "ACSA1" // silver maple
	v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
	if !strings.Contains(strings.Join(v.Limits, "\n"), "Cuts up to 25 mm (1.0 in) preferred; call before a cut above 50 mm (2.0 in)") {
		t.Errorf("limits %q", v.Limits)
	}
}

func TestTwoStepNeedsAFullGrowingSeason(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Training.Stages[1].Seasons = 1 })
	tree := maple()
	for _, tc := range []struct{ reduced, earliest string }{
		{"2026-01-14", "2026-11-01"},
		{"2026-05-20", "2027-11-01"}, // reduced in leaf: that season was not a full one
	} {
		tree.Watch = []scheduler.WatchItem{item("A", "competing leader", 20, 70, scheduler.RemoveLater, tc.reduced)}
		if v := only(t, e.Visits(tree, apart(), day("2026-06-01"))); v.Window.Earliest != day(tc.earliest) {
			t.Errorf("reduced %s: earliest %s, want %s", tc.reduced, v.Window.Earliest, tc.earliest)
		}
	}
}

func TestWatchObjectivesNameWhatWasLeft(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.Watch = []scheduler.WatchItem{
		item("A", "competing leader", 30, 70, scheduler.RemoveLater, "2026-01-14"),
		item("B", "competing top", 56, 70, scheduler.HoldTier, "2026-01-14"),
	}
	tree.Watch[1].IncludedBark = true
	gone := item("C", "stub", 20, 70, scheduler.RemoveLater, "")
	gone.Resolved = true
	tree.Watch = append(tree.Watch, gone)
	v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
	for i, want := range []string{
		"Remove A (competing leader, 2.10 m (6.9 ft) up, road side, 30 mm (1.2 in)) if it is no more than 50 % of its parent stem",
		"Reduce again B (competing top, 2.10 m (6.9 ft) up, road side, 56 mm (2.2 in), included bark) to a side branch at least a third of its diameter; hold it as lower tier.",
	} {
		if !strings.HasPrefix(v.Objectives[i], want) {
			t.Errorf("objective %d is %q, want %q", i+1, v.Objectives[i], want)
		}
	}
	if all := strings.Join(v.Objectives, " "); strings.Contains(all, " C ") || len(v.Objectives) > mostObjectives {
		t.Errorf("objectives %q", v.Objectives)
	}
}

func TestNextCheckBoundsTheVisit(t *testing.T) {
	e := presetEngine(t, "lower-midwest", evenPace)
	tree := maple()
	w := item("A", "union", 40, 80, scheduler.WatchOnly, "")
	w.NextCheck = day("2027-12-15")
	tree.Watch = []scheduler.WatchItem{w}
	v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
	if want := (scheduler.Window{Earliest: day("2027-11-01"), Due: day("2027-11-01"), Latest: day("2028-03-31")}); v.Window != want {
		t.Errorf("%+v, want %+v", v.Window, want)
	}
	if reasonOf(v, "training.next_check") == "" {
		t.Errorf("reasons %+v", v.Reasons)
	}
}
