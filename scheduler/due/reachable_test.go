package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// At 60 % live crown (common practice of street tree rules) a base of 8 ft needs
// a tree of 6.1 m and one of 14 ft a tree of 10.7 m.
func TestHeightForABase(t *testing.T) {
	e := presetEngine(t, "upper-midwest", nil)
	for _, tc := range []struct {
		base float64 // ft
		tree geo.Length
	}{{8, 6100}, {14, 10700}} {
		tree, site := maple(), street()
		tree.MeasuredOn = day("2026-01-14")
		for h := geo.Length(4000); ; h += 10 {
			tree.Height = h
			d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"]}
			d.proj = d.p.curve.Project(tree, 0)
			if d.crownFloor(tree.MeasuredOn) < geo.Feet(tc.base) {
				continue
			}
			if h < tc.tree-50 || h > tc.tree+50 {
				t.Errorf("%.0f ft: a tree of %s, want %s", tc.base, h, tc.tree)
			}
			break
		}
	}
}

// The year in which a tree is first tall enough to be raised to 14 ft, worked
// separately from the published growth coefficients (McPherson, van Doorn &
// Peper 2016, RDS-2016-0005) at 60 % live crown.
func TestYearOfFourteenFeet(t *testing.T) {
	for _, tc := range []struct {
		preset, species, region string
		year                    float64
	}{
		{"upper-midwest", "ULAM", "MidWst", 11},
		{"central-florida", "QUVI", "CenFla", 17},
		{"northeast", "ZESE", "NoEast", 20},
		{"lower-midwest", "ACRU", "LoMidW", 20},
		{"northeast", "PLAC", "NoEast", 22},
		{"northeast", "QUPA", "NoEast", 22},
		{"lower-midwest", "MALUS", "LoMidW", 39},
	} {
		e := presetEngine(t, tc.preset, func(p *scheduler.Policy) { p.Training.LiveCrownMin, p.Region = 60, tc.region })
		tree, site := bare(tc.species), street()
		tree.Planted, tree.Precision = day("2027-01-01"), scheduler.PreciseDay
		d := draft{e: e, t: &tree, s: &site, p: e.species[tc.species]}
		d.proj = d.p.curve.Project(tree, 0)
		on := tree.Planted
		for on < tree.Planted+60*366 && d.crownFloor(on) < geo.Feet(14) {
			on += 10
		}
		// the years were worked to the nearest whole one
		if year := tree.Planted.YearsTo(on); year < tc.year-0.6 || year > tc.year+0.5 {
			t.Errorf("%s in %s: year %.1f, want %.0f", tc.species, tc.region, year, tc.year)
		}
	}
}

// A species whose mature crown cannot be raised to the rule is said to be so,
// once on its clearance work and on the card, and no other species is.
func TestNotReachableIsSaid(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for code, want := range map[string]bool{"MALUS": true, "LAIN": true, "AMEL": true, "ACRU": false, "PLAC": false, "TICO": false} {
		p := e.species[code].species
		// the rule by hand: 60 % live crown of the mature height leaves the base under 14 ft
		if by := p.MatureHeight*40/100 < geo.Feet(14); by != want {
			t.Fatalf("%s of %s: %v", code, p.MatureHeight, by)
		}
		tree := wide(3000, 3000)
		tree.Species, tree.Height, tree.Crown = code, 6000, 5000
		for _, v := range e.Visits(tree, street(), day("2026-11-25")) {
			if reasonOf(v, "clearance.road") == "" {
				continue
			}
			reason := reasonOf(v, "clearance.not_reachable")
			card := strings.Contains(strings.Join(v.Limits, "\n"), "is not reachable by raising on this site: list it for replacement planting")
			if (reason != "") != want || card != want {
				t.Errorf("%s: reason %q, on the card %v", code, reason, card)
			}
		}
	}
}
