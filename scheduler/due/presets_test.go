package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// A street as published: heights over the walk, at the curb and over the lane
// (or at the centre of the street), and the preset that has them. Read in the codes and pages named.
var streets = []struct {
	place, preset    string
	walk, curb, lane geo.Length // 0 where the source gives none
	centre           bool
	youngTrees       bool
	source           string
}{
	{"Harker Heights TX", "central-texas", 0, geo.Feet(8), geo.Feet(12), true, false, "code 96.71"},
	{"Portland TX", "", geo.Feet(7), 0, geo.Feet(14), false, false, "playportlandtexas.info, plants and vegetation"},
	{"Vermillion SD", "saskatchewan", geo.Feet(8), 0, geo.Feet(16), false, false, "code 90.79"},
	{"Miamisburg OH", "", geo.Feet(8), 0, geo.Feet(12), false, false, "code of ordinances"},
	{"Clyde OH", "", geo.Feet(10), 0, geo.Feet(15), false, false, "code of ordinances"},
	{"Grove City OH", "", geo.Feet(9), 0, 0, false, false, "code of ordinances"},
	{"Clive IA", "iowa", geo.Feet(8), geo.Feet(15), geo.Feet(15), false, false, "cityofclive.com, tree trimming"},
	{"Colorado Springs CO", "colorado-front-range", geo.Feet(8), 0, geo.Feet(14), false, false, "tree pruning program"},
	{"Santa Ana CA", "southern-california", geo.Feet(8), geo.Feet(15), geo.Feet(16), false, true, "complete pruning specification"},
	{"Mount Pleasant MI", "michigan", geo.Feet(7), geo.Feet(14), geo.Feet(14), false, true, "code of ordinances"},
	{"Oxfordshire UK", "southern-england", 2500, 5200, 5200, false, false, "foh.org.uk, tree pruning"},
	{"Windsor and Maidenhead UK", "", 2500, 0, 5300, false, false, "tree strategy and policy guidance"},
	{"Waverley NSW", "new-south-wales", 2500, 3500, 4500, true, false, "public tree maintenance"},
	{"Bayside VIC", "victoria", 2500, 3500, 4500, false, false, "bayside.vic.gov.au/pruning"},
	{"Strathfield NSW", "new-south-wales", 2500, 0, 0, false, false, "trees obstructing public footpaths"},
	{"Christchurch NZ", "canterbury-new-zealand", 2500, 5000, 5000, false, false, "ccc.govt.nz, trees and vegetation"},
}

// policyOf is the place's preset, or the lower Midwest's with the place's heights.
func policyOf(t *testing.T, i int) scheduler.Policy {
	c := &streets[i]
	if c.preset != "" {
		return presetPolicy(t, c.preset)
	}
	p := presetPolicy(t, "lower-midwest")
	exact := func(h *scheduler.HeightRule, l geo.Length) {
		if l > 0 {
			*h = scheduler.HeightRule{Legal: l, ActAt: l + 150, ClearTo: l + 450, Source: c.place}
		}
	}
	exact(&p.Clearance.Walk, c.walk)
	for j := range p.Clearance.Roads {
		r := &p.Clearance.Roads[j]
		exact(&r.AtLane, c.lane)
		exact(&r.BusLane, c.lane)
	}
	return p
}

// The profile that the rules hold over a residential street, with and without a
// parking lane, against the heights as published.
func TestPublishedHeights(t *testing.T) {
	for i, c := range streets {
		p := policyOf(t, i)
		e := engineOf(t, p)
		if (p.Clearance.YoungTrees != "") != c.youngTrees {
			t.Errorf("%s: exception for young trees %q", c.place, p.Clearance.YoungTrees)
		}
		s := parkingLane(street())
		road, ok := e.roadEnvelope(&s)
		walk, okWalk := e.walkEnvelope(&s)
		if !ok || !okWalk {
			t.Fatalf("%s: no profile", c.place)
		}
		near, far := road.heightAt(road.edge+1, legal), road.heightAt(road.far, legal)
		if c.curb > 0 && (near < c.curb || near > c.curb+10) {
			t.Errorf("%s: at the curb %s, published %s (%s)", c.place, near, c.curb, c.source)
		}
		if c.lane > 0 && far != c.lane {
			t.Errorf("%s: over the lane %s, published %s (%s)", c.place, far, c.lane, c.source)
		}
		if c.walk > 0 && walk.heightAt(walk.edge+1, legal) != c.walk {
			t.Errorf("%s: walk %s, published %s (%s)", c.place, walk.high.Legal, c.walk, c.source)
		}
		if walk.high.Legal < geo.Inches(80) {
			t.Errorf("%s: walk %s, below 80 in (2010 ADA Standards 307.4)", c.place, walk.high.Legal)
		}
		if centre := s.ToCurb + s.HalfRoad; c.centre && (road.far != centre || road.heightAt((road.edge+centre)/2, legal) != (c.curb+c.lane)/2) {
			t.Errorf("%s: halfway to the centre %s, the profile rises from %s to %s in a straight line", c.place, road.heightAt((road.edge+centre)/2, legal), c.curb, c.lane)
		}
	}
}

// Every preset makes dates for every species: each trip of twenty years lies on
// a day on which its work is not closed, by a reading of the seasons apart from the engine's.
func TestPresetsMakeDates(t *testing.T) {
	today := day("2027-01-15")
	for _, name := range scheduler.Presets() {
		p := presetPolicy(t, name)
		e := engineOf(t, p)
		for _, sp := range speciesTable(t) {
			tree := bare(sp.Code)
			tree.Planted, tree.Precision, tree.Caliper = day("2026-12-01"), scheduler.PreciseDay, 45
			trips := e.Calendar(tree, street(), today, 20)
			if len(trips) == 0 {
				t.Errorf("%s: no trip for %s in twenty years", name, sp.Common)
			}
			for i := range trips {
				v := &trips[i]
				if on := max(v.Window.Due, today); v.Class > 2 && p.Seasons.ClosedOn(sp.ClosedGroup, v.Kinds, on) {
					t.Errorf("%s: %s of %s is due on %s, a closed day", name, v.Kind, sp.Common, on)
				}
			}
		}
	}
}

// A work record and the rules agree on the growing season that a cut draws on,
// every day, wherever the leaves come out.
func TestDoseSeasonOfEveryPreset(t *testing.T) {
	for _, name := range scheduler.Presets() {
		p := presetPolicy(t, name)
		c := newCalendar(p.Seasons)
		for d := day("2026-01-01"); d < day("2028-03-01"); d++ {
			if got, want := p.Seasons.LeafOn.DoseSeason(d), c.doseYear(d); got != want {
				t.Fatalf("%s: on %s a work record draws on %d, the rules look in %d", name, d, got, want)
			}
		}
	}
}

// South of the equator the leaves are down from June to August (common
// practice); the growing season crosses New Year.
func TestSouthernSeasons(t *testing.T) {
	for _, name := range []string{"victoria", "new-south-wales", "canterbury-new-zealand"} {
		e := presetEngine(t, name, nil)
		tree := bare("PLAC")
		tree.Planted, tree.Precision, tree.Caliper = day("2026-07-10"), scheduler.PreciseDay, 45
		n := 0
		for _, v := range e.Calendar(tree, street(), day("2027-01-15"), 12) {
			if v.Kind != scheduler.Training {
				continue
			}
			n++
			if m := int(v.Window.Due.Month()); m < 6 || m > 8 {
				t.Errorf("%s: training due on %s, outside the dormant season", name, v.Window.Due)
			}
			if !strings.HasPrefix(v.Season, "dormant season 20") || !strings.HasSuffix(v.Season, ", 1 Jun to 31 Aug") || strings.Contains(v.Season, "/") {
				t.Errorf("%s: due in the %q", name, v.Season)
			}
		}
		if n < 3 {
			t.Errorf("%s: %d training visits in twelve years", name, n)
		}
		unseen := bare("PLAC")
		for _, v := range e.Visits(unseen, street(), day("2027-01-15")) {
			if m := int(v.Window.Due.Month()); v.Kind == scheduler.FirstLook && (m < 6 || m > 8) {
				t.Errorf("%s: first look due on %s, outside the dormant season", name, v.Window.Due)
			}
		}
		c := newCalendar(e.policy.Seasons)
		if b, s, made := c.name(nil, day("2028-12-24"), day("2029-02-10")); !made || !strings.HasPrefix(string(b), "growing season 2028/29, 24 Dec to 10 Feb") {
			t.Errorf("%s: midsummer is called %q%q", name, b, s)
		}
		if y := c.after(2028); y != 2029 {
			t.Errorf("%s: the dormant season after the growing season 2028/29 is that of %d", name, y)
		}
	}
}
