package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

func TestReachDeadline(t *testing.T) {
	e := presetEngine(t, "lower-midwest", evenPace)
	site := apart()
	bounded, lifted := 0, 0
	for h := geo.Length(5000); h <= 9000; h += 250 {
		tree := maple()
		tree.Height = h
		v := only(t, e.Visits(tree, site, day("2026-11-25")))
		d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"], stage: tree.Stage}
		d.proj = d.p.curve.Project(tree, 0)
		limit := d.reachHeight()
		tall := func(on scheduler.Date) bool { return d.proj.At(on).Height > limit }
		switch {
		case tall(day("2028-11-01")): // out of reach when due: a lift, and no deadline left to keep
			lifted++
			if v.Skill != scheduler.Lift || v.Window.Latest != day("2030-03-31") {
				t.Errorf("%s: %s %+v", h, v.Skill, v.Window)
			}
		case tall(day("2030-03-31")):
			bounded++
			if v.Window.Latest != day("2029-03-31") || v.Skill != scheduler.Ground || reasonOf(v, "training.reach") == "" {
				t.Errorf("%s: %s %+v %+v", h, v.Skill, v.Window, v.Reasons)
			}
		default:
			if v.Window.Latest != day("2030-03-31") || v.Skill != scheduler.Ground {
				t.Errorf("%s: %s %+v", h, v.Skill, v.Window)
			}
		}
	}
	if bounded == 0 || lifted == 0 {
		t.Errorf("the heights test too little: %d bounded, %d lifted", bounded, lifted)
	}
}

func TestFirstStructuralVisitByCaliper(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	cases := []struct {
		caliper geo.Length
		due     string
	}{
		{geo.None, "2027-11-01"}, // the policy's own figure
		{geo.Inches(1), "2027-11-01"},
		{geo.Inches(2), "2028-11-01"},
		{geo.Inches(3), "2029-11-01"},
	}
	for _, tc := range cases {
		tree := bare("ACRU")
		tree.Planted, tree.Precision, tree.Caliper = day("2027-03-01"), scheduler.PreciseDay, tc.caliper
		visits := e.Visits(tree, apart(), day("2027-06-01"))
		found := false
		for _, v := range visits {
			if reasonOf(v, "training.first") != "" {
				found = true
				if v.Window.Due != day(tc.due) {
					t.Errorf("caliper %s: due %s, want %s", tc.caliper, v.Window.Due, tc.due)
				}
			}
		}
		if !found {
			t.Errorf("caliper %s: no first structural visit in %+v", tc.caliper, visits)
		}
	}
}

func TestHabitsWithoutTheLeaderRule(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, code := range []string{"LAIN", "PIPU", "MALUS", "CABE", "SABA", "SAPA"} {
		if e.species[code] == nil || e.species[code].species.Habit.LeaderRule() {
			continue
		}
		tree := maple()
		tree.Species = code
		v := e.Visits(tree, apart(), day("2026-11-25"))[0]
		all := strings.ToLower(strings.Join(v.Objectives, "\n"))
		for _, word := range []string{"choose one leader", "competing", "subordinat"} {
			if strings.Contains(all, word) {
				t.Errorf("%s (%s): %q", code, e.species[code].species.Habit, v.Objectives)
			}
		}
		if reasonOf(v, "training.reach") != "" {
			t.Errorf("%s has a reach deadline for leader work it does not get", code)
		}
	}
}

func TestRotationBySizeClass(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, tc := range []struct {
		dbh         geo.Length
		due, latest string
	}{
		{120, "2029-11-01", "2031-03-31"}, // up to 15 cm: 4 years and 1 of grace
		{150, "2029-11-01", "2031-03-31"},
		{300, "2033-11-01", "2036-03-31"}, // 8 and 2
	} {
		tree := maple()
		tree.Stage, tree.LastRotation, tree.DBH = scheduler.StageRotation, day("2026-01-14"), tc.dbh
		v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
		if v.Kind != scheduler.RotationPrune || v.Window.Due != day(tc.due) || v.Window.Latest != day(tc.latest) {
			t.Errorf("%s: %s %+v", tc.dbh, v.Kind, v.Window)
		}
	}
}

func TestBeyondTrainingGoesToRotation(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.Planted, tree.Stage = day("1995-03-01"), scheduler.StageRaising
	v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
	if v.Kind != scheduler.RotationPrune || reasonOf(v, "training.end") == "" {
		t.Errorf("%s %+v", v.Kind, v.Reasons)
	}
}

func TestWires(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	cases := []struct {
		name    string
		class   scheduler.WireClass
		to, up  geo.Length
		height  geo.Length
		skill   scheduler.Skill
		caution string
	}{
		{"none", scheduler.WireNone, geo.None, geo.None, 5000, scheduler.Ground, ""},
		{"primary, top below the zone", scheduler.WirePrimary, 0, 9000, 4000, scheduler.Ground, "within 3.05 m (10.0 ft)"},
		{"primary, top in the zone", scheduler.WirePrimary, 0, 9000, 6500, scheduler.LineClearance, "within 3.05 m (10.0 ft)"},
		{"primary, height unknown", scheduler.WirePrimary, 0, geo.None, 4000, scheduler.LineClearance, "within 3.05 m (10.0 ft)"},
		{"unknown voltage is energised", scheduler.WireUnknown, 0, 9000, 6500, scheduler.LineClearance, "counts as energised"},
		{"far off", scheduler.WirePrimary, 20000, 9000, 6500, scheduler.Ground, ""},
		{"communication", scheduler.WireComms, 0, 5000, 5000, scheduler.Ground, "Communication line"},
	}
	for _, tc := range cases {
		tree, site := maple(), apart()
		tree.Height = tc.height
		site.WireClass, site.ToWire, site.WireHeight = tc.class, tc.to, tc.up
		v := only(t, e.Visits(tree, site, day("2026-11-25")))
		if v.Skill != tc.skill {
			t.Errorf("%s: %s, want %s", tc.name, v.Skill, tc.skill)
		}
		all := strings.Join(v.Cautions, "\n")
		if !strings.Contains(all, tc.caution) || (tc.caution == "" && strings.Contains(all, "line")) {
			t.Errorf("%s: cautions %q", tc.name, v.Cautions)
		}
	}
}

func TestMinutesAreTheWorkWithItsSpread(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	v := only(t, e.Visits(tree, apart(), day("2026-11-25")))
	d := draft{e: e, t: &tree, p: e.species["ACRU"]}
	d.proj = d.p.curve.Project(tree, 0)
	cm := d.proj.At(v.Window.Due).DBH.CM()
	mean := 2 + 0.15*cm // base and slope of the preset's training
	if got := float64(v.Minutes); got < mean*1.25 || got > mean*1.25+1 {
		t.Errorf("%d minutes for a mean of %.2f", v.Minutes, mean)
	}
	if want := 2 * cm; float64(v.ChipsL) < want-1 || float64(v.ChipsL) > want+1 {
		t.Errorf("%d litres, want about %.1f", v.ChipsL, want)
	}
}

func TestPriorityShowsEveryTerm(t *testing.T) {
	e := presetEngine(t, "lower-midwest", evenPace)
	tree, site := maple(), apart()
	site.StreetClass = scheduler.Arterial
	v := only(t, e.Visits(tree, site, day("2032-02-01")))
	text := reasonOf(v, "priority")
	if v.Score != 30+int(heightAt(e, tree, v.Window.Due).M())+20 || !strings.Contains(text, "street 30") || !strings.Contains(text, "late 20") {
		t.Errorf("score %d: %s", v.Score, text)
	}
}

func heightAt(e *Engine, t scheduler.Tree, on scheduler.Date) geo.Length {
	return e.species[t.Species].curve.Project(t, 0).At(on).Height
}
