package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

func sightVisit(visits []scheduler.Visit) *scheduler.Visit {
	for i := range visits {
		if reasonOf(visits[i], "clearance.sign") != "" {
			return &visits[i]
		}
	}
	return nil
}

// The season is found again by looking at the end of every growing season.
func TestSignComesDueBeforeTheCrownGrowsIntoTheGap(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, to := range []geo.Length{2200, 2600, 3000, 3400} {
		tree, site := maple(), apart()
		tree.Height, tree.Crown, tree.MeasuredOn = 6500, 2400, day("2026-01-14")
		tree.LastVisit, tree.LastTraining = 0, 0
		tree.Planted, tree.Stage = day("2025-11-01"), scheduler.StageLeader
		tree.MeasuredOn = day("2026-01-14")
		site.ToSign = to
		d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"]}
		d.proj = d.p.curve.Project(tree, 0)
		into := 0
		for y := 2026; into == 0; y++ {
			_, end := e.cal.growingIn(y)
			if float64(d.at(end).Crown)/2 > float64(to-1000) { // the preset's gap is 1 m
				into = y
			}
		}
		d.settle()
		d.training()
		f := d.fixtures()[0]
		c, ok := d.crowds(&f)
		last := d.tasks[0].w.Due.Year() + d.interval() // of the seasons that the visit has to last for
		if ok != (into <= last) || (ok && c.year != into) {
			t.Errorf("sign %s off: season %d %v, want %d", to, c.year, ok, into)
		}
		if spring, _ := e.cal.growingIn(into); ok && c.t.w.Due > spring && c.t.w.Earliest > spring {
			t.Errorf("sign %s off: work opens on %s, after the growth of %d", to, c.t.w.Earliest, into)
		}
	}
}

func TestSignsSignalsAndLights(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	on := day("2026-06-01")
	wideTree := func(crown, base, height geo.Length) scheduler.Tree {
		tree := wide(base, base)
		tree.Height, tree.Crown, tree.MeasuredOn = height, crown, on
		return tree
	}
	little := maple()
	little.Species, little.DBH, little.Height, little.Crown = "MALUS", 40, 2500, 1800
	for _, tc := range []struct {
		name        string
		tree        scheduler.Tree
		sign, light geo.Length
		unknown     bool
		due         bool
		text        string
	}{
		{"a sign near the crown", wideTree(5000, 2500, 12000), 3600, geo.None, false, true, "Sign or signal 3.60 m (11.8 ft) from the trunk"},
		{"a sign far off", wideTree(5000, 2500, 12000), 12000, geo.None, false, false, ""},
		{"beneath a high crown the sign is in view", wideTree(5000, 3500, 12000), 3600, geo.None, false, false, ""},
		{"a light beside a tall tree", wideTree(5000, 3500, 12000), geo.None, 3600, false, true, "Street light 3.60 m (11.8 ft) from the trunk"},
		{"a top below the lamp", little, geo.None, 1200, false, false, ""},
		{"a tree that nobody has seen", wideTree(5000, 2500, 12000), 3600, geo.None, true, false, ""},
	} {
		site := apart()
		site.ToSign, site.ToLight, site.SpeedKmh = tc.sign, tc.light, 48
		if tc.unknown {
			tc.tree.LastVisit, tc.tree.LastRotation, tc.tree.LastTraining, tc.tree.LastRaise = 0, 0, 0, 0
			tc.tree.Stage = scheduler.StageUnknown
		}
		v := sightVisit(e.Visits(tc.tree, site, day("2026-11-25")))
		if (v != nil) != tc.due {
			t.Errorf("%s: %+v", tc.name, v)
			continue
		}
		if v == nil {
			continue
		}
		if all := strings.Join(v.Objectives, "\n"); !strings.Contains(all, tc.text) || !strings.Contains(all, "1.00 m (3.3 ft) free before it") {
			t.Errorf("%s: objectives %q", tc.name, v.Objectives)
		}
	}
}

// Stopping sight 200 ft at 30 mph (published); a signal 270 ft (MUTCD, from memory).
func TestSignObjectiveNamesTheDistances(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree, site := wide(2500, 2500), apart()
	tree.Height, tree.Crown, tree.MeasuredOn = 12000, 5000, day("2026-06-01")
	site.ToSign, site.SpeedKmh = 3600, 48
	v := sightVisit(e.Visits(tree, site, day("2026-11-25")))
	if v == nil {
		t.Fatal("no visit for the sign")
	}
	want := "at 30 mph a sign is seen from 61 m (200 ft) up the street, a signal from 82 m (270 ft)"
	if all := strings.Join(v.Objectives, "\n"); !strings.Contains(all, want) {
		t.Errorf("objectives %q do not say %q", v.Objectives, want)
	}
	for mph, feet := range map[int]float64{10: 175, 20: 175, 21: 215, 25: 215, 30: 270, 33: 325, 35: 325, 40: 390, 45: 460, 50: 540, 55: 625, 60: 715, 70: 715} {
		if got := signalSight(mph); got != geo.Feet(feet) {
			t.Errorf("%d mph: a signal from %s, want %.0f ft", mph, got, feet)
		}
	}
}

// A crown that has grown over the sign is work of weeks; and whatever the
// distance the calendar moves on: no visit comes back in the season in which it was done.
func TestSignVisitsMoveOn(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	young, site := bare("ACRU"), apart()
	young.Planted, young.Precision, young.Stage = day("2026-11-01"), scheduler.PreciseDay, scheduler.StageEstablishing
	site.ToSign = 1400
	for today, class := range map[string]int{"2028-06-01": 4, "2038-06-01": 2} {
		if v := sightVisit(e.Visits(young, site, day(today))); v == nil || v.Class > 4 || (v.Class == 2) != (class == 2) {
			t.Fatalf("on %s: %+v", today, v)
		}
	}
	tree := wide(2500, 2500)
	tree.Height, tree.Crown, tree.MeasuredOn = 12000, 6000, day("2026-06-01")
	for to := geo.Length(0); to < 5000; to += 240 {
		site.ToSign, site.ToLight = to, 5000-to
		last := scheduler.Date(0)
		n := 0
		for _, v := range e.Calendar(tree, site, day("2026-11-25"), 20) {
			if v.Kind == scheduler.SightClearance {
				n++
				if last != 0 && v.Window.Due < last+300 {
					t.Errorf("sign %s off: due %s after %s", to, v.Window.Due, last)
				}
				last = v.Window.Due
			}
		}
		if n > 12 {
			t.Errorf("sign %s off: %d visits in 20 years", to, n)
		}
	}
}

// The training visit takes the sign along when its season allows, so that its
// window ends before the crown grows into the gap.
func TestTrainingIsBoundedByTheSign(t *testing.T) {
	e := presetEngine(t, "lower-midwest", evenPace)
	tree := maple()
	tree.BaseRoad, tree.BaseWalk, tree.BaseOn = 1800, 1800, day("2026-01-14")
	free := e.Visits(tree, apart(), day("2026-11-25"))[0]
	bounded := 0
	for to := geo.Length(1400); to < 4000; to += 100 {
		site := apart()
		site.ToSign = to
		for _, v := range e.Visits(tree, site, day("2026-11-25")) {
			if v.Kind == scheduler.Training && reasonOf(v, "clearance.sign") != "" && v.Window.Latest < free.Window.Latest {
				bounded++
			}
		}
	}
	if bounded == 0 {
		t.Errorf("no sign bounds the training window %+v", free.Window)
	}
}
