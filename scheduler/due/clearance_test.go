package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

func TestEnvelopeProfile(t *testing.T) {
	step := envelope{edge: 900, far: 900, high: scheduler.HeightRule{Legal: geo.Feet(14)}, low: scheduler.HeightRule{Legal: geo.Feet(8)}}
	// Harker Heights TX, code 96.71: 8 ft at the curb line rising to 12 ft at the centre of the street.
	sloped := envelope{edge: 900, far: 900 + 6000, low: scheduler.HeightRule{Legal: geo.Feet(8)}, high: scheduler.HeightRule{Legal: geo.Feet(12)}}
	// Waverley NSW: 3.5 m at the curb rising to 4.5 m at the centre.
	waverley := envelope{edge: 1000, far: 5000, low: scheduler.HeightRule{Legal: 3500}, high: scheduler.HeightRule{Legal: 4500}}
	cases := []struct {
		name string
		v    envelope
		x    geo.Length
		want geo.Length
	}{
		{"over the lawn", step, 900, 0},
		{"over the lane", step, 901, geo.Feet(14)},
		{"sloped, just past the curb", sloped, 901, geo.Feet(8)},
		{"sloped, midway", sloped, 900 + 3000, geo.Feet(10)},
		{"sloped, centre and beyond", sloped, 9000, geo.Feet(12)},
		{"Waverley, a quarter in", waverley, 2000, 3750},
	}
	for _, tc := range cases {
		if got := tc.v.heightAt(tc.x, legal); got != tc.want {
			t.Errorf("%s: %s, want %s", tc.name, got, tc.want)
		}
	}
	for _, v := range []envelope{step, sloped, waverley} { // free is the inverse of heightAt
		for h := geo.Length(0); h < 6000; h += 50 {
			flat := crown{base: h, radius: 100000}
			x := v.free(&flat, legal)
			if x == everywhere {
				if need := v.heightAt(100000, legal); need > h {
					t.Fatalf("free at %s everywhere, but %s is asked", h, need)
				}
				continue
			}
			if need := v.heightAt(x, legal); need > h {
				t.Fatalf("free at %s out to %s, but %s is asked there", h, x, need)
			}
			if need := v.heightAt(x+8, legal); need <= h {
				t.Fatalf("free at %s only to %s, but %s is asked beyond", h, x, need)
			}
		}
	}
}

func TestRoadEnvelopeOfSite(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	s := parkingLane(street())
	v, ok := e.roadEnvelope(&s)
	if !ok || v.edge != 900 || v.far != 3300 || v.low.Legal != geo.Feet(8) || v.high.Legal != geo.Feet(14) {
		t.Errorf("parking lane: %+v", v)
	}
	s = street()
	s.BusRoute, s.StreetClass = true, scheduler.Arterial
	if v, _ = e.roadEnvelope(&s); v.far != 900 || v.low.ClearTo != geo.Feet(16) || v.high.ClearTo != geo.Feet(16) {
		t.Errorf("bus lane at the curb: %+v", v)
	}
	s = parkingLane(s)
	if v, _ = e.roadEnvelope(&s); v.low.Legal != geo.Feet(8) {
		t.Errorf("bus route behind a parking lane: %+v", v)
	}
	s = apart()
	if _, ok = e.roadEnvelope(&s); ok {
		t.Error("a road where none is near")
	}
	centre := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Clearance.Roads[2].ToCentre = true })
	s = street()
	if v, _ = centre.roadEnvelope(&s); v.far != 900+4500 {
		t.Errorf("profile to the centre: %+v", v)
	}
}

// wide is a red maple whose crown stands over road and walk, in rotation.
func wide(road, walk geo.Length) scheduler.Tree {
	t := maple()
	t.Stage, t.DBH, t.Height, t.Crown = scheduler.StageRotation, 300, 12000, 8000
	t.LastRotation = t.LastVisit
	t.BaseRoad, t.BaseWalk, t.BaseOn = road, walk, day("2026-06-01")
	return t
}

func TestRecordedBaseBelowLegalIsClassTwo(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	visits := e.Visits(wide(geo.Feet(13), geo.Feet(9)), street(), day("2026-06-10"))
	v := visits[0]
	if v.Kind != scheduler.RoadClearance || v.Class != 2 || v.State != scheduler.Due {
		t.Fatalf("%s class %d %s", v.Kind, v.Class, v.State)
	}
	if v.Window.Latest != day("2026-07-13") || v.Season != "by 13 Jul 2026" {
		t.Errorf("window %+v, %q: legal clearance is a matter of weeks", v.Window, v.Season)
	}
	if v = e.Visits(wide(geo.Feet(13), geo.Feet(9)), street(), day("2026-08-10"))[0]; v.State != scheduler.Overdue || v.Class != 2 {
		t.Errorf("later: %s class %d", v.State, v.Class)
	}
	if !strings.Contains(v.Objectives[0], "Road side: raise to") {
		t.Errorf("first objective %q", v.Objectives[0])
	}
	limits := strings.Join(v.Limits, "\n")
	for _, want := range []string{"found 3.96 m (13.0 ft) on 1 Jun 2026", "legal 4.27 m (14.0 ft)", "act at 4.42 m (14.5 ft)", "clear to 4.57 m (15.0 ft)"} {
		if !strings.Contains(limits, want) {
			t.Errorf("the limits do not say %q:\n%s", want, limits)
		}
	}
}

func TestUnrecordedBaseSetsNoDate(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := wide(geo.None, geo.None)
	for _, v := range e.Visits(tree, street(), day("2026-06-10")) {
		if v.Class < 3 || v.Kind != scheduler.Training { // nobody wrote down that the tree is past training
			t.Errorf("%s class %d from a base that nobody saw", v.Kind, v.Class)
		}
		if !strings.Contains(strings.Join(v.Limits, "\n"), "expected by the curve (not seen)") {
			t.Errorf("limits %q do not say that the base is a prior", v.Limits)
		}
	}
}

// A tree tall enough to be raised: the work comes before the season in which
// the underside of its crown sinks to the act-at height over the lane.
func TestEncroachmentByGrowth(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.DBH, tree.Height, tree.Crown = 240, 11500, 5000
	tree.BaseRoad, tree.BaseWalk, tree.BaseOn = 4050, 4050, day("2026-01-14")
	site := apart()
	site.ToCurb, site.ToLane = 1600, 1600
	var got *scheduler.Visit
	visits := e.Visits(tree, site, day("2026-11-25"))
	for i := range visits {
		if reasonOf(visits[i], "clearance.road") != "" {
			got = &visits[i]
		}
	}
	if got == nil {
		t.Fatalf("the crown sinks into the lane within the next two visits, but nothing is due: %+v", visits)
	}
	// The day the underside passes 14.5 ft at the curb, straight from the curve.
	d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"]}
	d.proj = d.p.curve.Project(tree, 0)
	s, _ := d.roadSide()
	below := func(h geo.Length) scheduler.Date {
		for on := day("2026-01-14"); ; on++ {
			if c := d.crownOf(&s, on); float64(c.base)+c.lift(s.env.edge+1) < float64(h) {
				return on
			}
		}
	}
	act := below(geo.Feet(14.5))
	if got.Window.Due > act || got.Window.Due.AddDays(400) < act || got.Window.Latest > below(geo.Feet(14)) || got.Class < 3 {
		t.Errorf("the crown passes the act-at height on %s, class %d, window %+v", act, got.Class, got.Window)
	}
}

func TestRaiseReduceOrNotReachable(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	on := day("2027-11-01")
	cases := []struct {
		name        string
		species     string
		height      geo.Length
		permanent   geo.Length
		raise       bool
		held        bool
		reduce      bool
		unreachable bool
	}{
		{"tall enough", "ACRU", 14000, geo.None, true, false, false, false},
		{"part of the way", "ACRU", 8000, geo.None, true, true, true, false},
		{"too short to raise at all", "ACRU", 4000, geo.None, false, true, true, false},
		{"a permanent branch that attaches too low holds nothing", "ACRU", 14000, 3000, true, false, false, false},
		{"a crabapple under 14 ft", "MALUS", 6000, geo.None, true, true, true, true},
	}
	for _, tc := range cases {
		tree, site := wide(1600, 3000), street()
		tree.Species, tree.Height, tree.Permanent, tree.MeasuredOn = tc.species, tc.height, tc.permanent, on
		d := draft{e: e, t: &tree, s: &site, p: e.species[tc.species], stage: scheduler.StageRaising}
		d.proj = d.p.curve.Project(tree, on)
		s, _ := d.roadSide()
		a := d.answer(&s, on)
		if (a.raise > 0) != tc.raise || a.held != tc.held || a.reduce != tc.reduce || a.unreachable != tc.unreachable {
			t.Errorf("%s: %+v", tc.name, a)
		}
		if a.raise > tc.height*40/100+1 {
			t.Errorf("%s: raised to %s, above 60 %% live crown of %s", tc.name, a.raise, tc.height)
		}
	}
}

func TestBranchesDoNotMoveUp(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree, site := wide(4000, 3000), street()
	d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"]}
	d.proj = d.p.curve.Project(tree, 0)
	last := geo.Length(0)
	for y := range 20 {
		sag := d.sag(addMonths(tree.BaseOn, 12*y))
		if sag < last || sag > d.p.species.Droop {
			t.Fatalf("year %d: the base sags %s after %s, droop %s", y, sag, last, d.p.species.Droop)
		}
		last = sag
	}
	if last == 0 {
		t.Error("limbs that lengthen for twenty years do not sag at all")
	}
}

func TestSightTriangle(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree, site := maple(), apart()
	site.InSight = true
	find := func(visits []scheduler.Visit) *scheduler.Visit {
		for i := range visits {
			if reasonOf(visits[i], "clearance.sight") != "" {
				return &visits[i]
			}
		}
		return nil
	}
	v := find(e.Visits(tree, site, day("2026-03-01")))
	if v == nil || v.Window.Due.Year() != 2026 || v.Window.Due.Month() < 5 || v.Window.Due.Month() > 7 {
		t.Fatalf("yearly look in leaf: %+v", v)
	}
	if !strings.Contains(strings.Join(v.Objectives, "\n"), "triangle side only") {
		t.Errorf("objectives %q", v.Objectives)
	}
	tree.BaseRoad, tree.BaseWalk, tree.BaseOn = 2500, 2500, day("2026-01-14")
	if v = find(e.Visits(tree, site, day("2026-03-01"))); v != nil {
		t.Errorf("crown above the band, still looked at: %+v", v)
	}
}

// TestFirstGrowingIsTheFirst holds the halving search against a walk year by year.
func TestFirstGrowingIsTheFirst(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	found := 0
	for _, code := range []string{"ACRU", "MALUS", "PLAC", "GLTR", "QUPA", "ULAM"} {
		for base := geo.Length(800); base < 4800; base += 133 {
			for _, raised := range []scheduler.Date{0, day("2026-01-14")} {
				tree, site := maple(), parkingLane(street())
				tree.Species, tree.BaseRoad, tree.BaseOn, tree.LastRaise = code, base, day("2026-01-14"), raised
				d := draft{e: e, t: &tree, s: &site, p: e.species[code], stage: scheduler.StageLeader}
				d.proj = d.p.curve.Project(tree, 0)
				s, _ := d.roadSide()
				for _, l := range []level{legal, actAt, clearTo} {
					want, ok := 0, false
					for y := 2060; y >= 2026; y-- {
						if _, end := e.cal.growingIn(y); d.encroaches(&s, end, l) {
							want, ok = y, true
						}
					}
					if got, is := d.firstGrowing(&s, 2026, 2060, l); got != want || is != ok {
						t.Fatalf("%s, base %s, level %d: %d %v, want %d %v", code, base, l, got, is, want, ok)
					}
					if ok && want > 2026 {
						found++
					}
				}
			}
		}
	}
	if found < 50 {
		t.Errorf("only %d crossings after the first year", found)
	}
}
