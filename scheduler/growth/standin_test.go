package growth

import (
	"fmt"
	"strings"
	"testing"

	"limbround/scheduler"
)

// The curves against trees that they were not fitted to: for every measured set
// of a species with its own curve that curve is taken away, and what stands in
// is held against the trees. This is what a city gets for a species without a
// curve. The share inside the band has to be about what the band promises.
func TestStandInsAgainstTheMeasuredTrees(t *testing.T) {
	m := load(t)
	var b strings.Builder
	fmt.Fprintf(&b, "%-33s %-38s %5s %8s %8s %8s\n", "trees of", "by the curve of", "trees", "bias cm", "rmse cm", "inside")
	in, all := 0.0, 0.0
	for _, s := range measuredSets(t) {
		other := m.without(t, s.curve.set)
		if other == nil {
			continue
		}
		c := other.curve()
		c.standIn = true
		rows := c.DBHErrors(s.trees)
		e := rows[len(rows)-1]
		if e.Trees < 20 {
			continue
		}
		fmt.Fprintf(&b, "%-33s %-38s %5d %8.2f %8.2f %8.2f\n", s.curve.Name, c.Name, e.Trees, e.Bias, e.RMSE, e.Inside)
		in, all = in+e.Inside*float64(e.Trees), all+float64(e.Trees)
	}
	fmt.Fprintf(&b, "inside the band: %.0f of %.0f\n", in, all)
	if all < 500 || in/all < Coverage-0.05 {
		t.Errorf("%.0f of %.0f trees inside the band, want %g of them", in, all, Coverage)
	}
	golden(t, "testdata/standin.golden", b.String())
}

func TestSameSpeciesDoesNotStandIn(t *testing.T) {
	m := load(t)
	if c := m.Curve("SacVal", scheduler.Species{Scientific: "Pyrus calleryana"}); c.standIn {
		t.Errorf("%+v: the species' own trees", c)
	}
	if c := m.Curve("PacfNW", scheduler.Species{Scientific: "Carpinus betulus"}); c.standIn || c.Fallback == "" {
		t.Errorf("%+v: a cultivar of the species", c)
	}
	if c := m.Curve("LoMidW", scheduler.Species{Scientific: "Malus sargentii"}); !c.standIn {
		t.Errorf("%+v: another species", c)
	}
}
