package due

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// under is a young red maple below a conductor.
func under(volts int, height geo.Length) (scheduler.Tree, scheduler.Site) {
	tree, site := maple(), apart()
	tree.DBH, tree.Height = 68, 4800
	site.WireClass, site.WireVolts, site.ToWire, site.WireHeight = scheduler.WirePrimary, volts, 0, height
	return tree, site
}

// A conductor at 9.0 m, 12 kV line, 7.2 kV to ground: the 10 ft zone starts at
// 5.95 m (29 CFR 1910.333, from memory). The season is found again from the
// curve alone, day by day.
func TestTopEntersTheZone(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, tc := range []struct {
		volts  int
		height geo.Length
		zone   float64 // ft
	}{{7200, 9000, 10}, {7200, 11000, 10}, {79_700, 11000, 11}} {
		tree, site := under(tc.volts, tc.height)
		from := tc.height - geo.Feet(tc.zone)
		on := tree.MeasuredOn
		for heightAt(e, tree, on) < from {
			on++
		}
		year := 2026
		for ; ; year++ {
			if _, end := e.cal.growingIn(year); end >= on {
				break
			}
		}
		text := reasonOf(e.Visits(tree, site, day("2026-11-25"))[0], "wires.zone")
		m := regexp.MustCompile(`about (\d+): the last season for a ground crew near the top is dormant season (\d+)/`).FindStringSubmatch(text)
		if m == nil {
			t.Errorf("%d V at %s: %q", tc.volts, tc.height, text)
			continue
		}
		entry, _ := strconv.Atoi(m[1])
		last, _ := strconv.Atoi(m[2])
		if entry != year || last != year-1 {
			t.Errorf("%d V at %s: the curve passes %s on %s, told %q", tc.volts, tc.height, from, on, text)
		}
		// who may work near the top: the ground crew before, a line-clearance crew from then on
		d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"]}
		d.proj = d.p.curve.Project(tree, 0)
		_, before := e.cal.growingIn(year - 1)
		_, after := e.cal.growingIn(year)
		if d.wireSkill(before, true, scheduler.Ground) != scheduler.Ground || d.wireSkill(after, true, scheduler.Ground) != scheduler.LineClearance {
			t.Errorf("%d V at %s: skills before and after %d", tc.volts, tc.height, year)
		}
		if d.wireSkill(after, false, scheduler.Ground) != scheduler.Ground {
			t.Error("work below the zone needs no line-clearance crew")
		}
	}
}

// The leader work comes while a ground crew may still do it.
func TestTrainingBeforeTheTopIsInTheZone(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	bounded := 0
	tree, site := under(7200, 9000)
	for up := geo.Length(8000); up < 12000; up += 100 {
		site.WireHeight = up
		v := e.Visits(tree, site, day("2026-11-25"))[0]
		free := e.Visits(tree, apart(), day("2026-11-25"))[0]
		if v.Window.Latest < free.Window.Latest {
			bounded++
			_, leaves := e.cal.growingIn(v.Window.Latest.Year() - 1) // in winter nothing grows
			if heightAt(e, tree, leaves) >= up-geo.Feet(10) {
				t.Errorf("conductor at %s: the latest day, %s, finds the top in the zone", up, v.Window.Latest)
			}
		}
	}
	if bounded == 0 {
		t.Error("no height of the line bounds the training window")
	}
}

func TestReplacementIsAdvisedUnderTheLine(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, tc := range []struct {
		name, species string
		to, up        geo.Length
		class         scheduler.WireClass
		want          bool
	}{
		{"red maple, 22 m, under 9 m", "ACRU", 500, 9000, scheduler.WirePrimary, true},
		{"crape myrtle, 9 m, under 14 m", "LAIN", 500, 14000, scheduler.WirePrimary, false},
		{"beside the strip", "ACRU", 9000, 9000, scheduler.WirePrimary, false},
		{"a communication line", "ACRU", 500, 9000, scheduler.WireComms, false},
	} {
		tree, site := under(0, tc.up)
		tree.Species, site.ToWire, site.WireClass = tc.species, tc.to, tc.class
		v := e.Visits(tree, site, day("2026-11-25"))[0]
		if got := reasonOf(v, "wires.replacement"); (got != "") != tc.want {
			t.Errorf("%s: %q", tc.name, got)
		}
		if tc.class == scheduler.WireComms && reasonOf(v, "wires.zone") != "" {
			t.Error("a communication line has no approach zone")
		}
	}
}

var metres = regexp.MustCompile(`within (\d+\.\d\d) m`)

// The card of a crew never names a distance below 10 ft, the rule of persons
// without line-clearance qualification; qualified workers' distances are less.
func TestCardShowsTheRuleOfUnqualifiedPersonsAlone(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Wires.RequestLead, p.Wires.RequestValid = 21, 60 })
	for _, tc := range []struct {
		name    string
		class   scheduler.WireClass
		volts   int
		within  string
		unknown bool
	}{
		{"service", scheduler.WireService, 240, "3.05 m (10.0 ft)", false},
		{"primary", scheduler.WirePrimary, 19_900, "3.05 m (10.0 ft)", false},
		{"69 kV", scheduler.WireTransmission, 39_800, "3.05 m (10.0 ft)", false},
		{"138 kV", scheduler.WireTransmission, 79_700, "3.35 m (11.0 ft), the distance for 80 kV to ground", false},
		{"transmission of unknown voltage", scheduler.WireTransmission, 0, "3.05 m (10.0 ft)", true},
		{"unknown line", scheduler.WireUnknown, 0, "3.05 m (10.0 ft)", true},
	} {
		tree, site := under(tc.volts, 9000)
		tree.Height, site.WireClass = 7500, tc.class
		v := e.Visits(tree, site, day("2026-11-25"))[0]
		all := strings.Join(v.Cautions, "\n")
		if !strings.Contains(all, "within "+tc.within) {
			t.Errorf("%s: %q", tc.name, all)
		}
		for _, m := range metres.FindAllStringSubmatch(all, -1) {
			if m[1] < "3.05" {
				t.Errorf("%s names %s m", tc.name, m[1])
			}
		}
		if strings.Contains(all, "counts as energised and nothing comes near until the utility answers") != tc.unknown {
			t.Errorf("%s: %q", tc.name, all)
		}
		if !strings.Contains(all, "Utility request: ask 21 days before the work; the answer is good for 60 days") {
			t.Errorf("%s: no word of the utility request: %q", tc.name, all)
		}
	}
}
