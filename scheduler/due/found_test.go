package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// pear is a callery pear of a known size, seen on 2027-02-01, with one union on record.
func pear(dbh, height, union geo.Length, intent scheduler.Intent) scheduler.Tree {
	t := bare("PYCA")
	t.DBH, t.Height, t.MeasuredOn = dbh, height, day("2027-02-01")
	t.LastVisit, t.LastTraining, t.Stage = t.MeasuredOn, t.MeasuredOn, scheduler.StageLeader
	t.Watch = []scheduler.WatchItem{{
		Letter: "A", What: "union", Height: 1900, Diameter: union, StemDiameter: union * 13 / 10, IncludedBark: true,
		Intent: intent, SeenOn: t.MeasuredOn,
	}}
	return t
}

// A weak union past the largest cut on a grown tree of a species that breaks
// easily gets a date for the decision, which does not move when it is measured
// again (common practice: about ten years from a first look at 22 cm).
func TestDecisionHasADate(t *testing.T) {
	years := func(n int) func(*scheduler.Policy) {
		return func(p *scheduler.Policy) { p.Practice.DecideYears = n }
	}
	for _, c := range []struct {
		name string
		edit func(*scheduler.Policy)
		tree func() scheduler.Tree
		want string
	}{
		{"passes the largest cut before the next visit", nil, func() scheduler.Tree { return pear(220, 8800, 95, scheduler.WatchOnly) }, "in 2029: by 31 Oct 2037"},
		{"the city's own years", years(5), func() scheduler.Tree { return pear(220, 8800, 95, scheduler.WatchOnly) }, "in 2029: by 31 Oct 2034"},
		{"long past it", nil, func() scheduler.Tree { return pear(400, 12000, 220, scheduler.WatchOnly) }, ": by 31 Oct 2027"},
		{"still small", nil, func() scheduler.Tree { return pear(220, 8800, 60, scheduler.WatchOnly) }, ""},
		{"held for good", nil, func() scheduler.Tree { return pear(400, 12000, 220, scheduler.HoldTier) }, ""},
		{"a tree to be trained", nil, func() scheduler.Tree { return pear(60, 3500, 104, scheduler.WatchOnly) }, ""},
		{"a species that holds", nil, func() scheduler.Tree {
			tree := pear(400, 12000, 220, scheduler.WatchOnly)
			tree.Species = "GIBI"
			return tree
		}, ""},
	} {
		e := presetEngine(t, "lower-midwest", c.edit)
		got := ""
		for _, v := range e.Visits(c.tree(), street(), day("2027-03-01")) {
			if r := reasonOf(v, "union.decide"); r != "" {
				got = r
			}
		}
		if (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A hidden sign is work of weeks at any time of the year, on a tree that nobody
// has assessed too; once it is free nothing is left of it.
func TestHiddenSign(t *testing.T) {
	e := presetEngine(t, "northeast", nil)
	tree := bare("QUPA")
	tree.DBH, tree.Height, tree.MeasuredOn = 200, 8000, day("2036-05-15")
	tree.Watch = []scheduler.WatchItem{{Letter: "A", What: "Stop sign hidden", Intent: scheduler.DecideNext, SeenOn: day("2036-05-15")}}
	for _, stage := range []scheduler.Stage{scheduler.StageUnknown, scheduler.StageLeader} {
		if tree.Stage = stage; stage != scheduler.StageUnknown {
			tree.LastVisit = day("2036-05-15")
		}
		v := kindOf(e.Visits(tree, street(), day("2036-05-20")), scheduler.SightClearance)
		if v == nil {
			t.Fatalf("%s: no visit", stage)
		}
		if v.Class != 2 || v.State != scheduler.Due || v.Window.Latest != day("2036-06-26") {
			t.Errorf("%s: class %d, %s until %s", stage, v.Class, v.State, v.Window.Latest)
		}
		if reasonOf(*v, "clearance.hidden_closed") == "" {
			t.Errorf("%s: the closed season is not named", stage)
		}
		if text := strings.Join(v.Objectives, "\n"); strings.Count(text, "Open the view: A") != 1 || !strings.Contains(text, "the rest in winter") {
			t.Errorf("%s: %s", stage, text)
		}
	}
	site := street()
	e.done(&tree, &site, &scheduler.Visit{Kind: scheduler.SightClearance, Kinds: []scheduler.WorkKind{scheduler.SightClearance}}, day("2036-05-21"))
	if v := kindOf(e.Visits(tree, site, day("2036-05-22")), scheduler.SightClearance); v != nil || len(tree.Watch) > 0 {
		t.Errorf("left after the work: %v, %v", v, tree.Watch)
	}
	if upright("stop sign hidden") {
		t.Error("a stop sign is taken for a top")
	}
}

func kindOf(visits []scheduler.Visit, k scheduler.WorkKind) *scheduler.Visit {
	for i := range visits {
		if visits[i].Kind == k {
			return &visits[i]
		}
	}
	return nil
}

// The removal of a dead tree counts from the record that found it so, and never
// from before its planting.
func TestRemovalCountsFromTheDeath(t *testing.T) {
	e := presetEngine(t, "northeast", func(p *scheduler.Policy) { p.Effective = day("2026-01-01") })
	for _, c := range []struct {
		name           string
		planted, found string
		want           string
	}{
		{"nothing dated", "", "", "2026-01-01"},
		{"planted later than the records begin", "2027-03-10", "", "2027-03-10"},
		{"found dead", "2027-03-10", "2028-09-10", "2028-09-10"},
		{"a date of before the planting", "2027-03-10", "2026-09-10", "2027-03-10"},
	} {
		tree := bare("GIBI")
		tree.State = scheduler.Dead
		if c.planted != "" {
			tree.Planted = day(c.planted)
		}
		if c.found != "" {
			tree.LastVisit = day(c.found)
		}
		v := e.Visits(tree, street(), day("2028-10-01"))
		if len(v) != 1 || v[0].Kind != scheduler.Removal || v[0].Window.Due != day(c.want) {
			t.Errorf("%s: %+v, want one removal, due %s", c.name, v, c.want)
		}
	}
}
