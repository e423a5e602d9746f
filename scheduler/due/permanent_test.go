package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

func TestLowestPermanentBranch(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	site := street() // clear to 15 ft over the lane
	at := geo.Feet(15) + e.species["ACRU"].species.Droop
	cases := []struct {
		name      string
		dbh       geo.Length
		permanent geo.Length
		limit     string
		reason    bool
	}{
		{"under 4 in all are temporary (IFAS EP276)", 70, geo.None, "on a trunk under 102 mm (4.0 in) every branch is temporary", false},
		{"none chosen yet", 150, geo.None, "it attaches at 4.87 m (16.0 ft) or above, and is no low limb that grows up into the scaffold", false},
		{"too low", 150, 3100, "attaches at 3.10 m (10.2 ft), below 4.87 m (16.0 ft) (clear to and droop): it will have to go; it counts as temporary", true},
		{"a hand too low", 150, at - 1, "it will have to go", true},
		{"high enough", 150, at, "it and all above it stay; below it is temporary", false},
	}
	for _, tc := range cases {
		tree := maple()
		tree.DBH, tree.Permanent = tc.dbh, tc.permanent
		tree.BaseRoad, tree.BaseWalk, tree.BaseOn = 1200, 1200, day("2026-01-14")
		visits := e.Visits(tree, site, day("2026-11-25"))
		found := false
		for _, v := range visits {
			if v.Kind != scheduler.Training && !strings.Contains(strings.Join(v.Limits, " "), "permanent") {
				continue
			}
			found = true
			if !strings.Contains(strings.Join(v.Limits, "\n"), tc.limit) {
				t.Errorf("%s: limits %q, want %q", tc.name, v.Limits, tc.limit)
			}
			if v.Kind == scheduler.Training && (reasonOf(v, "training.permanent_low") != "") != tc.reason {
				t.Errorf("%s: reasons %+v", tc.name, v.Reasons)
			}
		}
		if !found {
			t.Errorf("%s: no visit speaks of it: %+v", tc.name, visits)
		}
	}
}

// A site whose legal height the species can never be raised to sets no height
// for the branch; what is left is the walk's.
func TestPermanentWhereTheRoadIsOutOfReach(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree, site := maple(), street()
	tree.Species = "MALUS"
	d := draft{e: e, t: &tree, s: &site, p: e.species["MALUS"]}
	d.proj = d.p.curve.Project(tree, 0)
	if got, want := d.permanentAt(), geo.Feet(9)+d.p.species.Droop; got != want {
		t.Errorf("a crabapple's attaches at %s, want %s over the walk", got, want)
	}
	site.ToWalk = geo.None
	if got := d.permanentAt(); got != 0 {
		t.Errorf("nothing to clear, and yet %s", got)
	}
}

// A branch does not move up the trunk: it can be chosen as soon as the tree has
// one at its place, years before the crown can be raised to it. That the place
// should lie in the lower two thirds or so is common practice, from memory.
func TestPermanentIsChosenOnceTheTreeHasIt(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	site := street()
	at := geo.Feet(15) + e.species["ACRU"].species.Droop
	for _, c := range []struct {
		dbh, height geo.Length
		want        bool
	}{
		{150, at*100/65 + 10, true},
		{150, at*100/65 - 10, false},
		{150, at * 2, true},
		{90, at * 2, false}, // under 4 in every branch is temporary: IFAS EP276
	} {
		tree := maple()
		tree.DBH, tree.Height = c.dbh, c.height
		on := day("2026-11-25")
		tree.MeasuredOn = on
		d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"], stage: tree.Stage}
		d.proj = d.p.curve.Project(tree, 0)
		limit := d.permanentLimit(on)
		if says := strings.Contains(limit.in(string(d.buf)), "choose it now"); says != c.want {
			t.Errorf("%s tall: the card says %q", c.height, limit.in(string(d.buf)))
		}
		if d.choosePermanent(on); (tree.Permanent == at) != c.want {
			t.Errorf("%s tall, trunk %s: chosen at %s", c.height, c.dbh, tree.Permanent)
		}
	}
}
