package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// Harker Heights TX 96.71: 8 ft at the curb rising to 12 ft at the street's
// centre, so 10 ft half-way; Waverley NSW: 3.5 m rising to 4.5 m.
func TestProfileToTheCentre(t *testing.T) {
	for _, tc := range []struct{ curb, centre geo.Length }{{geo.Feet(8), geo.Feet(12)}, {3500, 4500}} {
		e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) {
			for i := range p.Clearance.Roads {
				r := &p.Clearance.Roads[i]
				r.AtCurb.Legal, r.AtLane.Legal, r.ToCentre = tc.curb, tc.centre, true
			}
		})
		site := parkingLane(street())
		v, ok := e.roadEnvelope(&site)
		if mid := site.ToCurb + site.HalfRoad/2; !ok || v.heightAt(mid, legal) != (tc.curb+tc.centre)/2 {
			t.Errorf("half-way from %s to %s: %s", tc.curb, tc.centre, v.heightAt(mid, legal))
		}
		if v.heightAt(site.ToCurb+site.HalfRoad+1000, legal) != tc.centre || v.heightAt(site.ToCurb, legal) != 0 {
			t.Errorf("beyond the centre, or behind the curb: %+v", v)
		}
	}
}

// The heights of a bus or truck lane hold from the curb on, or over a parking
// lane from the edge of the travel lane on.
func TestTallLanes(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) {
		for i := range p.Clearance.Roads {
			r := &p.Clearance.Roads[i]
			r.AtCurb.Legal, r.AtLane.Legal, r.BusLane.Legal = 2400, 4200, 4400
			r.TruckLane = scheduler.HeightRule{}
			if r.Class == scheduler.Arterial {
				r.TruckLane = scheduler.HeightRule{Legal: 5000, ActAt: 5100, ClearTo: 5200, Source: "test"}
			}
		}
	})
	for _, tc := range []struct {
		name                string
		class               scheduler.StreetClass
		bus, truck, parking bool
		curb, middle, lane  geo.Length // legal just past the curb, half-way to the lane edge, over the lane
	}{
		{"plain", scheduler.Arterial, false, false, false, 4200, 4200, 4200},
		{"truck at the curb", scheduler.Arterial, false, true, false, 5000, 5000, 5000},
		{"bus at the curb", scheduler.Arterial, true, false, false, 4400, 4400, 4400},
		{"both at the curb", scheduler.Arterial, true, true, false, 5000, 5000, 5000},
		{"parking between, plain", scheduler.Arterial, false, false, true, 2400, 3300, 4200},
		{"parking between, truck", scheduler.Arterial, false, true, true, 2400, 3700, 5000},
		{"parking between, bus", scheduler.Arterial, true, false, true, 2400, 3400, 4400},
		{"truck route of a class without a rule", scheduler.Collector, false, true, false, 4200, 4200, 4200},
	} {
		site := street()
		if tc.parking {
			site = parkingLane(site)
		}
		site.StreetClass, site.BusRoute, site.TruckRoute = tc.class, tc.bus, tc.truck
		v, _ := e.roadEnvelope(&site)
		middle := (900 + 3300) / 2
		for x, want := range map[geo.Length]geo.Length{901: tc.curb, geo.Length(middle): tc.middle, 3300: tc.lane, 6000: tc.lane} {
			if got := v.heightAt(x, legal); got != want && got != want+1 {
				t.Errorf("%s: %s out %s, want %s", tc.name, x, got, want)
			}
		}
	}
}

// A tree that clears a plain street and not a truck route has work on the route.
func TestTruckRouteOfTheSiteCounts(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) {
		for i := range p.Clearance.Roads {
			p.Clearance.Roads[i].TruckLane = scheduler.HeightRule{Legal: geo.Feet(17), ActAt: geo.Feet(17.5), ClearTo: geo.Feet(18), Source: "city truck routes"}
		}
	})
	tree, site := wide(geo.Feet(15.5), geo.Feet(15.5)), street()
	tree.Height = 15000 // tall enough to be raised to 17 ft
	breach := func() string {
		for _, v := range e.Visits(tree, site, day("2026-06-10")) {
			if text := reasonOf(v, "clearance.road"); strings.Contains(text, "is legal: within") {
				return text
			}
		}
		return ""
	}
	if text := breach(); text != "" {
		t.Errorf("on a plain street: %s", text)
	}
	site.TruckRoute = true
	if text := breach(); !strings.Contains(text, "where 5.18 m (17.0 ft) is legal") {
		t.Errorf("on a truck route: %q", text)
	}
}

// Droop is added to what is cleared to and to the height of the lowest permanent
// branch, and the card says under what the limbs hang so low.
func TestDroopUnderSnow(t *testing.T) {
	on := day("2027-11-01")
	for _, tc := range []struct {
		species string
		pct     int
		droop   geo.Length
		words   string
	}{
		{"ACRU", 0, 300, "0.30 m (1.0 ft) more, for limbs that hang when wet and in leaf"},
		{"ACRU", 150, 450, "0.45 m (1.5 ft) more, for limbs that hang under snow"},
		{"ACSA1", 100, 750, "0.75 m (2.5 ft) more, for limbs that hang under snow"}, // high for wet and leaf-on snow
		{"PIST", 100, 450, "0.45 m (1.5 ft) more, for limbs that hang under snow"},  // a conifer
	} {
		e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Clearance.SnowDroop = tc.pct })
		tree, site := wide(2000, 2000), street()
		tree.Species, tree.Height, tree.MeasuredOn = tc.species, 20000, on
		d := draft{e: e, t: &tree, s: &site, p: e.species[tc.species], stage: scheduler.StageRotation}
		d.proj = d.p.curve.Project(tree, on)
		s, _ := d.roadSide()
		clear := e.policy.Clearance.Roads[2].AtLane.ClearTo
		if a := d.answer(&s, on); a.raise != clear+tc.droop {
			t.Errorf("%s, %d %%: raise to %s, want %s and %s more", tc.species, tc.pct, a.raise, clear, tc.droop)
		}
		if all := strings.Join(e.Visits(tree, site, on)[0].Limits, "\n"); !strings.Contains(all, tc.words) {
			t.Errorf("%s, %d %%: the card does not say %q: %s", tc.species, tc.pct, tc.words, all)
		}
		if d.p.species.Habit.LeaderRule() {
			d.sidesDone(on)
			if tree.Permanent != clear+tc.droop {
				t.Errorf("%s, %d %%: lowest permanent branch at %s", tc.species, tc.pct, tree.Permanent)
			}
		}
	}
}
