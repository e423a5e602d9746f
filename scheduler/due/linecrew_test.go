package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// walkUnder is a red maple in the leader stage over walk and lane, under a line.
func walkUnder(height geo.Length) (scheduler.Tree, scheduler.Site) {
	tree, site := under(7200, height)
	s := street()
	s.WireClass, s.WireVolts, s.ToWire, s.WireHeight = site.WireClass, site.WireVolts, site.ToWire, site.WireHeight
	tree.BaseRoad, tree.BaseWalk, tree.BaseOn, tree.LastRaise = 2300, 2300, tree.MeasuredOn, tree.MeasuredOn
	tree.Watch = []scheduler.WatchItem{item("A", "competing leader", 20, 70, scheduler.RemoveLater, "2026-01-14")}
	return tree, s
}

// Only a line-clearance crew works in the zone (29 CFR 1910.269 and 1910.333,
// from memory); what lies below it stays with the city's crew.
func TestLineAndCityCrewsGoApart(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	apartTrips, together := 0, 0
	for up := geo.Length(6000); up < 14000; up += 100 {
		for h := geo.Length(4000); h < 9000; h += 500 {
			tree, site := walkUnder(up)
			tree.Height = h
			visits := e.Visits(tree, site, day("2026-11-25"))
			line, city := false, false
			for _, v := range visits {
				sides := contains(v.Kinds, scheduler.WalkClearance) || contains(v.Kinds, scheduler.RoadClearance)
				card := strings.Join(append(append([]string(nil), v.Objectives...), v.Limits...), "\n")
				if v.Skill == scheduler.LineClearance {
					line = true
					if sides || strings.Contains(card, "Walk side") || strings.Contains(card, "Road side") {
						t.Errorf("conductor at %s, tree of %s: the line crew's trip takes a side: %v\n%s", up, h, v.Kinds, card)
					}
				} else if sides {
					city = true
					if contains(v.Kinds, scheduler.Training) {
						together++
						if heightAt(e, tree, v.Window.Due) >= up-geo.Feet(10) {
							t.Errorf("conductor at %s, tree of %s: %v by %s with the top in the zone", up, h, v.Kinds, v.Skill)
						}
					} else if strings.Contains(card, "Remove A") && heightAt(e, tree, v.Window.Due) >= up-geo.Feet(10) {
						t.Errorf("conductor at %s, tree of %s: the city's crew takes the leader: %s", up, h, card)
					}
				}
			}
			if line && city {
				apartTrips++
			}
		}
	}
	if apartTrips < 50 || together < 50 {
		t.Errorf("%d trees with two crews, %d with one: the cases test too little", apartTrips, together)
	}

	// a line of unknown height: all of it is for the line crew, in one trip
	tree, site := walkUnder(geo.None)
	for _, v := range e.Visits(tree, site, day("2026-11-25")) {
		if v.Skill != scheduler.LineClearance {
			t.Errorf("line of unknown height: %v by %s", v.Kinds, v.Skill)
		}
	}
}

// The line crew leaves the sides as they are: the calendar goes on with visits
// of the city's crew to the walk side.
func TestCityCrewKeepsItsWalkVisits(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree, site := walkUnder(9000)
	n := map[scheduler.Skill]int{}
	for _, v := range e.Calendar(tree, site, day("2026-11-25"), 20) {
		if contains(v.Kinds, scheduler.WalkClearance) {
			n[v.Skill]++
		}
	}
	if n[scheduler.LineClearance] != 0 || n[scheduler.Ground] < 4 {
		t.Errorf("walk visits by crew: %v", n)
	}
}

// 60 % live crown under a conductor at 9.0 m: (9.00 - 3.05) * 0.4 is 2.38 m,
// short of 8 ft; at 9.3 m it is 2.50 m.
func TestNotReachableUnderTheLine(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, tc := range []struct {
		name   string
		height geo.Length
		toWire geo.Length
		want   bool
	}{
		{"conductor at 9.0 m", 9000, 0, true},
		{"conductor at 9.3 m", 9300, 0, false},
		{"beside the strip", 9000, 5000, false},
	} {
		tree, site := walkUnder(tc.height)
		site.ToWire = tc.toWire
		reason, card := false, false
		for _, v := range e.Visits(tree, site, day("2026-11-25")) {
			for _, r := range v.Reasons {
				reason = reason || strings.HasPrefix(r.Text, "Walk side: 2.44 m (8.0 ft) is not reachable by raising under the line: the top has to stay below 5.95 m")
			}
			for _, l := range v.Limits {
				card = card || (strings.HasPrefix(l, "Walk side") && strings.Contains(l, "2.44 m (8.0 ft) is not reachable by raising under the line"))
			}
		}
		if reason != tc.want || card != tc.want {
			t.Errorf("%s: in a reason %v, on the card %v", tc.name, reason, card)
		}
	}
}
