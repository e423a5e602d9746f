package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// planted is a maple planted on a day with a caliper of two inches.
func planted(on, species string) scheduler.Tree {
	t := bare(species)
	t.Planted, t.Precision, t.Caliper, t.Stage = day(on), scheduler.PreciseDay, geo.Inches(2), scheduler.StageEstablishing
	return t
}

func window(earliest, due, latest string) scheduler.Window {
	return scheduler.Window{Earliest: day(earliest), Due: day(due), Latest: day(latest)}
}

// Ties at six months, stakes by twelve, the warranty inspected 45 days before
// its end: common practice, from memory.
func TestFirstYearOfAPlantedTree(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := planted("2026-10-20", "ACRU")
	visits := e.Visits(tree, apart(), day("2027-05-01"))
	v := ruled(visits, "establishment.ties")
	if v == nil || v.Window != window("2027-04-20", "2027-04-20", "2027-07-20") || v.Season != "by 20 Jul 2027" || v.Dose != 0 {
		t.Fatalf("ties: %+v", v)
	}
	w := ruled(visits, "establishment.warranty")
	if w == nil || w.Kind != scheduler.Inspection || w.Window != window("2027-07-22", "2027-09-05", "2027-10-20") || w.Season != "by 20 Oct 2027" {
		t.Fatalf("warranty: %+v", w)
	}
	if w.Class != 3 || w.Dose != 0 {
		t.Errorf("warranty: class %d, dose %d: its day falls before the next open season", w.Class, w.Dose)
	}
	recorded(t, &tree, "2027-05-02", scheduler.Establishment)
	visits = e.Visits(tree, apart(), day("2027-09-10"))
	if v = ruled(visits, "establishment.stakes"); v == nil || v.Window != window("2027-07-22", "2027-09-05", "2027-10-20") || v.Kind != scheduler.Establishment {
		t.Fatalf("stakes: %+v", v)
	}
	if reasonOf(*v, "establishment.warranty") == "" || !strings.Contains(strings.Join(v.Objectives, "\n"), "Warranty inspection") {
		t.Errorf("stakes and warranty are one trip when their windows meet: %+v", visits)
	}
	recorded(t, &tree, "2027-09-11", scheduler.Establishment, scheduler.Inspection)
	for _, v := range e.Visits(tree, apart(), day("2027-09-12")) {
		if strings.Contains(reasonText(v), "establishment.") {
			t.Errorf("done, and still open: %s", reasonText(v))
		}
	}
}

// The warranty is the policy's, and a road visit is no inspection of it.
func TestWarrantyOfTwoYears(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Care.WarrantyMonths = 24 })
	tree := planted("2026-10-20", "ACRU")
	recorded(t, &tree, "2027-09-11", scheduler.Establishment, scheduler.Inspection)
	recorded(t, &tree, "2028-09-11", scheduler.RoadClearance)
	v := ruled(e.Visits(tree, apart(), day("2028-09-12")), "establishment.warranty")
	if v == nil || v.Window.Latest != day("2028-10-20") {
		t.Fatalf("%+v", v)
	}
	tree.Precision = scheduler.PreciseYear
	if v := ruled(e.Visits(tree, apart(), day("2028-09-12")), "establishment.warranty"); v != nil {
		t.Errorf("planted in a year, and yet a day: %+v", v.Window)
	}
}

// Dead at month ten: the first thing to do is to claim.
func TestDeadUnderWarrantyIsClaimed(t *testing.T) {
	e := presetEngine(t, "northeast", nil)
	tree := planted("2027-01-05", "GIBI")
	tree.State, tree.LastVisit, tree.LastInspected = scheduler.Dead, day("2027-11-05"), day("2027-11-05")
	claim := func(tree scheduler.Tree) string {
		return reasonOf(e.Visits(tree, apart(), day("2027-11-06"))[0], "removal.warranty")
	}
	if s := claim(tree); !strings.Contains(s, "claim it by then") || !strings.Contains(s, "5 Jan 2028") || !strings.Contains(s, "replacement") {
		t.Errorf("%q", s)
	}
	tree.LastVisit = day("2028-02-05")
	if s := claim(tree); s != "" {
		t.Errorf("dead after the warranty: %q", s)
	}
}

// Weekly for twelve weeks, then every two weeks to the season's end, not in the
// dormant season: common practice, from memory. Done on its day, the number of
// waterings of a season can be counted: 20 April to 31 October are 28 weeks.
func TestWateringRounds(t *testing.T) {
	e := presetEngine(t, "northeast", nil) // leaf-on 20 April to 31 October
	for _, c := range []struct {
		planted, first string
		weekly, then   int
		seasons        int
	}{
		{"2027-01-05", "2027-04-20", 13, 7, 1}, // 20 April to 13 July weekly; 27 July, 10 August ... 19 October
		{"2027-04-10", "2027-04-10", 13, 8, 1}, // planted after the dormant season
		{"2027-06-01", "2027-06-01", 13, 4, 1},
		{"2027-10-01", "2027-10-01", 5 + 13, 7, 1}, // the rest of that season, then the first that counts
		{"2027-01-05", "2027-04-20", 13, 7 + 14, 2},
	} {
		e := e
		if c.seasons > 1 {
			e = presetEngine(t, "northeast", func(p *scheduler.Policy) { p.Care.WaterSeasons = c.seasons })
		}
		tree := planted(c.planted, "ACRU")
		var days []scheduler.Date
		for today := tree.Planted; len(days) < 100; {
			v := ruled(e.Visits(tree, apart(), today), "watering.round")
			if v == nil {
				break
			}
			if len(v.Kinds) != 1 || v.Kind != scheduler.Watering || v.Dose != 0 {
				t.Fatalf("watering is not bundled and cuts nothing: %+v", v)
			}
			if _, dormant := e.cal.dormantIn(e.cal.before(v.Window.Due)); v.Window.Due <= dormant {
				t.Errorf("%s: watered on %s, in the dormant season", c.planted, v.Window.Due)
			}
			today = v.Window.Due
			days = append(days, today)
			recorded(t, &tree, today.String(), scheduler.Watering)
		}
		weekly := 1
		for i := 1; i < len(days); i++ {
			if days[i]-days[i-1] != 14 {
				weekly++
			}
		}
		// A season's first watering follows the dormant season, not an interval.
		extra := c.seasons - 1
		if len(days) != c.weekly+c.then || days[0] != day(c.first) || weekly != c.weekly+extra {
			t.Errorf("planted %s: %d waterings, %d of them weekly, from %s: %v", c.planted, len(days), weekly, days[0], days)
		}
		if !tree.LastVisit.IsZero() {
			t.Errorf("planted %s: a watering counts as a visit on %s", c.planted, tree.LastVisit)
		}
	}
}

// A round left out is overdue, and lapses with its season.
func TestWateringIsNotMadeUpFor(t *testing.T) {
	e := presetEngine(t, "northeast", nil)
	tree := planted("2027-01-05", "ACRU")
	late := ruled(e.Visits(tree, apart(), day("2027-06-01")), "watering.round")
	if late == nil || late.State != scheduler.Overdue || late.Window.Due != day("2027-04-20") {
		t.Fatalf("%+v", late)
	}
	if v := ruled(e.Visits(tree, apart(), day("2027-11-01")), "watering.round"); v != nil {
		t.Errorf("after the season: %+v", v.Window)
	}
	tree.Precision = scheduler.PreciseYear
	if v := ruled(e.Visits(tree, apart(), day("2027-06-01")), "watering.round"); v != nil {
		t.Errorf("planted in a year: %+v", v.Window)
	}
}
