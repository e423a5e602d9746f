package published

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// heights reads the table of places; the flag says that the height over the
// road is reached only at the centre of the street.
func heights(t testing.TB) []row { return table(t, "heights", 18) }

func toCentre(r row) bool { return strings.HasPrefix(r.text("note"), "rises") }

// strictly makes a policy that asks for a place's heights and nothing more: no
// margins, no look ahead, a crown with a flat underside, no tolerance at the curb.
func strictly(walk, curb, road geo.Length, centre bool) func(*scheduler.Policy) {
	rule := func(h geo.Length) scheduler.HeightRule {
		return scheduler.HeightRule{Legal: h, ActAt: h, ClearTo: h, Source: "published"}
	}
	return func(p *scheduler.Policy) {
		p.Practice.CrownRisePct, p.Practice.LaneTolerance = 1, 1
		p.Clearance.LookAhead = 1
		p.Clearance.Walk = rule(walk)
		p.Clearance.Roads = []scheduler.RoadRule{{Class: scheduler.Residential, AtCurb: rule(curb), AtLane: rule(road), ToCentre: centre}}
	}
}

// standing is a grown tree with a flat crown of the radius whose lowest foliage
// hangs at the height on both sides. Its species is in no table: no droop.
func standing(t testing.TB, base, radius geo.Length) scheduler.Tree {
	tree := young(t, "none", "1990-03-01", "2026-01-14")
	tree.Stage = scheduler.StageRotation
	seen := day(t, "2026-11-20")
	tree.LastRotation, tree.LastVisit, tree.BaseOn, tree.MeasuredOn = seen, seen, seen, seen
	tree.DBH, tree.Height, tree.Crown = geo.Centimetres(50), geo.Metres(16), 2*radius
	tree.BaseRoad, tree.BaseWalk = base, base
	return tree
}

// below reports whether the rules say today that foliage hangs below a legal height.
func below(t testing.TB, edit func(*scheduler.Policy), tree scheduler.Tree, site scheduler.Site, kind scheduler.WorkKind) bool {
	t.Helper()
	v := visit(engineOf(t, "lower-midwest", edit, nil).Visits(tree, site, day(t, "2026-11-25")), kind)
	return v != nil && v.Class == 2
}

const inch = 25 * geo.Millimetre

// Foliage an inch below a place's height is below the law, an inch above is not:
// over the walk, at the curb, over the lane and, where the rule is a slope, midway.
func TestHeights(t *testing.T) {
	for _, r := range heights(t) {
		t.Run(r.text("place"), func(t *testing.T) {
			r.t = t
			none := geo.Length(1600)
			walk, curb, road := none, none, none
			if r.has("walk") {
				walk = r.length("walk")
			}
			if r.has("at_curb") {
				curb, road = r.length("at_curb"), r.length("over_road")
			}
			rules := strictly(walk, curb, road, toCentre(r))
			if r.has("walk") {
				site := lawn()
				site.ToWalk = 500
				hold(t, "walk", walk, rules, site, 3000, scheduler.WalkClearance)
			}
			if !r.has("at_curb") {
				return
			}
			site := lawn()
			site.StreetClass, site.ToCurb, site.ToLane, site.HalfRoad = scheduler.Residential, 1000, 1000, 6000
			if !toCentre(r) {
				hold(t, "road", road, rules, site, 4000, scheduler.RoadClearance)
				if curb < road { // a parking lane between: from the height at the curb up to that over the lane
					site.Parking, site.ToLane = true, 3400
					hold(t, "midway over the parking lane", (curb+road)/2, rules, site, 1000+1200, scheduler.RoadClearance)
				}
				return
			}
			hold(t, "centre", road, rules, site, 9000, scheduler.RoadClearance)
			hold(t, "midway", (curb+road)/2, rules, site, 1000+3000, scheduler.RoadClearance)
			hold(t, "a quarter in", curb+(road-curb)/4, rules, site, 1000+1500, scheduler.RoadClearance)
		})
	}
}

// hold finds the height from both sides.
func hold(t *testing.T, where string, height geo.Length, rules func(*scheduler.Policy), site scheduler.Site, radius geo.Length, kind scheduler.WorkKind) {
	t.Helper()
	rise := radius / 100 // of the flat underside
	if !below(t, rules, standing(t, height-inch-rise, radius), site, kind) {
		t.Errorf("%s: foliage an inch below %s is let be", where, height)
	}
	if below(t, rules, standing(t, height+inch, radius), site, kind) {
		t.Errorf("%s: foliage an inch above %s is below the law", where, height)
	}
}

// Every height of a starting policy names a place and is that place's, or says that it
// is from memory, and no walk
// is lower than the headroom of the ADA standards.
func TestPresetsCarryTheHeightsTheyName(t *testing.T) {
	places := heights(t)
	headroom := places[0].length("walk")
	named := 0
	for _, name := range scheduler.Presets() {
		p := preset(t, name)
		rules := map[string]scheduler.HeightRule{"walk": p.Clearance.Walk}
		for _, r := range p.Clearance.Roads {
			rules["curb, "+string(r.Class)], rules["lane, "+string(r.Class)], rules["bus, "+string(r.Class)] = r.AtCurb, r.AtLane, r.BusLane
			rules["truck, "+string(r.Class)] = r.TruckLane
		}
		for where, rule := range rules {
			if rule.Legal > 0 && rule.Legal < headroom {
				t.Errorf("%s, %s: %s is lower than the headroom of %s", name, where, rule.Legal, headroom)
			}
			found := false
			for _, place := range places {
				if !strings.Contains(rule.Source, place.text("place")) {
					continue
				}
				found = true
				named++
				if !carries(place, rule.Legal) {
					t.Errorf("%s, %s: %s names %s, which has %v", name, where, rule.Legal, place.text("place"), place.fields)
				}
			}
			if rule.Legal > 0 && !found && !strings.Contains(rule.Source, "from memory") {
				t.Errorf("%s, %s: %s names no place of the table: %q", name, where, rule.Legal, rule.Source)
			}
		}
	}
	if named < 15*4*3 {
		t.Errorf("only %d heights name a place", named)
	}
}

func carries(place row, l geo.Length) bool {
	for _, column := range []string{"walk", "at_curb", "over_road"} {
		if d := geo.Length(0); place.has(column) {
			if d = place.length(column) - l; d >= -1 && d <= 1 {
				return true
			}
		}
	}
	return false
}
