package scheduler

import (
	"testing"

	"limbround/geo"
)

func TestPermanentBranchOnARecord(t *testing.T) {
	cases := []struct {
		name   string
		height geo.Length
		b      PermanentBranch
		field  string
	}{
		{"nothing", 0, PermanentBranch{}, ""},
		{"all of it", 5000, PermanentBranch{SideRoad, 40, AttitudeSpreading}, ""},
		{"a limb into the scaffold is written down too", 2000, PermanentBranch{SideRoad, 40, AttitudeIntoScaffold}, ""},
		{"no such side", 5000, PermanentBranch{PermanentSide: "north"}, "lowest_permanent_side"},
		{"thicker than any", 5000, PermanentBranch{PermanentDiameter: 1001}, "lowest_permanent_diameter_mm"},
		{"no such attitude", 5000, PermanentBranch{PermanentAttitude: "proud"}, "lowest_permanent_attitude"},
		{"without a height", 0, PermanentBranch{PermanentSide: SideRoad}, "lowest_permanent_mm"},
	}
	for _, tc := range cases {
		var c checker
		tc.b.check(&c, tc.height)
		switch {
		case tc.field == "" && len(c.faults) > 0:
			t.Errorf("%s: %+v", tc.name, c.faults)
		case tc.field != "" && (len(c.faults) != 1 || c.faults[0].Field != tc.field):
			t.Errorf("%s: %+v, want one about %s", tc.name, c.faults, tc.field)
		}
	}
}

// A low limb that grows up into the scaffold is no lowest permanent branch: the
// record keeps it, the tree's fact does not move.
func TestLimbIntoTheScaffoldIsNoCandidate(t *testing.T) {
	for a, want := range map[Attitude]geo.Length{AttitudeIntoScaffold: 900, AttitudeSpreading: 5000, "": 5000} {
		tree := Tree{Permanent: 900}
		r := WorkRecord{Permanent: 5000, PermanentBranch: PermanentBranch{PermanentAttitude: a}}
		applyMeasures(&tree, &r, day(2027, 1, 10))
		if tree.Permanent != want {
			t.Errorf("%q: the tree says %s, want %s", a, tree.Permanent, want)
		}
	}
}
