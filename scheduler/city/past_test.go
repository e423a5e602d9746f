package city

import (
	"slices"
	"testing"

	"limbround/scheduler"
)

// A place is in the district whose polygon holds it.
func TestInShareAgreesWithThePolygons(t *testing.T) {
	for _, r := range sizes {
		c := mustMake(t, r)
		all := c.shares()
		n := 0
		for s := range c.Trees() {
			if n++; n%97 != 1 {
				continue
			}
			for i, e := range slices.Collect(c.Rows("districts")) {
				if got, want := c.inShare(s.at, all[i]), within(c.lonLat(s.at), e.Row.Shape.Parts()[0][0]); got != want {
					t.Errorf("%+v: tree %v in district %d: %v, by its polygon %v", r, s.Tree.Row.Values[fieldRef], i+1, got, want)
				}
			}
		}
	}
}

// The programme works but is stretched: most living trees have a past, few
// grown ones were left alone for seven years, and in two districts far more.
func TestProgrammeIsStretched(t *testing.T) {
	c := mustMake(t, Request{Trees: 12000, Seed: 1})
	type tally struct{ trees, unseen, lapsed int }
	var all [2]tally
	clearances, raised, grown := 0, 0, 0
	for s := range c.Trees() {
		if s.Tree.Row.Values[fieldState] != "alive" || s.life.kind == nil {
			continue
		}
		n := &all[0]
		if c.neglected(s.at) {
			n = &all[1]
		}
		n.trees++
		if len(s.History) == 0 {
			n.unseen++
			continue
		}
		last := s.History[len(s.History)-1].Row.Values
		on, _ := last[2].(scheduler.Date)
		years := s.life.planted.YearsTo(today)
		if years > 8 && years < 20 && on.YearsTo(today) > 5.5 {
			n.lapsed++
		}
		for _, e := range s.History {
			if k := e.Row.Values[3]; k == string(scheduler.RoadClearance) || k == string(scheduler.WalkClearance) {
				clearances++
				break
			}
		}
		if base, walk := s.Tree.Row.Values[12], s.Tree.Row.Values[13]; years > 25 && base != nil && walk != nil && !s.life.kind.small && !s.life.kind.conifer {
			grown++
			if lengthOf(base)+lengthOf(walk) >= 2*2438 {
				raised++
			}
		}
	}
	share := func(a, b int) float64 { return 100 * float64(a) / float64(b) }
	good, bad := all[0], all[1]
	if u := share(good.unseen, good.trees); u < 12 || u > 26 {
		t.Errorf("%.1f %% of the trees in the districts in turn have no past", u)
	}
	if a, b := share(good.lapsed, good.trees), share(bad.lapsed, bad.trees); a > 3 || b < 3*a {
		t.Errorf("visits stopped to %.1f %% of the trees, in the neglected districts to %.1f %%", a, b)
	}
	if bad.trees < 300 || bad.trees > good.trees {
		t.Errorf("%d trees in the two neglected districts, %d in the others", bad.trees, good.trees)
	}
	if s := share(clearances, good.trees+bad.trees); s < 40 {
		t.Errorf("only %.1f %% of the trees were ever cleared", s)
	}
	// Of street trees in Queens NY with stems of 12 to 18 in, 72 % have their lowest foliage, on the average
	// of all sides, at 8 ft or more, of those of 18 to 24 in 94 % (computed from the USDA Forest Service's Urban Tree Database).
	if s := share(raised, grown); s < 72 || s > 94 {
		t.Errorf("the foliage of %.1f %% of %d grown trees begins at 8 ft or higher", s, grown)
	}
}

func lengthOf(v any) int {
	if l, ok := v.(interface{ M() float64 }); ok {
		return int(1000*l.M() + 0.5)
	}
	return 0
}
