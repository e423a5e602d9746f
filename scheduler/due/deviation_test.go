package due

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

// The rules of one record each: training EP276 (25, 40, 35 % by visit; live
// crown above 60 %), the cut table and the growing season between reduction and
// removal common practice, 10 ft off lines 29 CFR 1910.333, oaks closed April to July Wisconsin DNR.
func TestDeviations(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.ID = 7 })
	oak := bare("QUPA")
	oak.Ref, oak.Stage, oak.Planted, oak.Precision = "PL-1", scheduler.StageLeader, day("2020-11-01"), scheduler.PreciseDay
	oak.DBH, oak.Height, oak.MeasuredOn = 120, 6000, day("2026-11-01")
	oak.LastVisit, oak.LastTraining = day("2024-01-15"), day("2024-01-15")
	oak.BaseRoad, oak.BaseWalk, oak.BaseOn = 1800, 1800, day("2024-01-15")
	basswood := oak
	basswood.Species = "TIAM" // weak compartmentaliser
	watched := oak
	watched.Watch = []scheduler.WatchItem{
		{Letter: "A", What: "competing leader", Diameter: 40, StemDiameter: 70, Intent: scheduler.RemoveLater, ReducedOn: day("2026-06-10"), SeenOn: day("2026-06-10")},
		{Letter: "B", What: "temporary", Diameter: 20, StemDiameter: 90, Intent: scheduler.RemoveLater, ReducedOn: day("2024-01-15"), SeenOn: day("2024-01-15")},
		{Letter: "C", What: "temporary", Diameter: 60, StemDiameter: 200, Intent: scheduler.RemoveLater, SeenOn: day("2024-01-15")},
	}
	used := oak
	used.DoseSeason, used.DoseUsed = 2027, 30
	poor := oak
	poor.Vigour = scheduler.VigourPoor
	planned := oak
	planned.Permanent = 2000
	wired := street()
	wired.WireClass, wired.ToWire, wired.WireHeight = scheduler.WirePrimary, 500, 9000
	tall := oak
	tall.Height = 7500
	crew := func(s ...scheduler.Skill) *scheduler.Crew { return &scheduler.Crew{ID: 4, Name: "Pickup 1", Skills: s} }
	gone := func(letter string) []scheduler.WatchFinding {
		return []scheduler.WatchFinding{{Letter: letter, Done: "removed", Resolved: true}}
	}

	for _, c := range []struct {
		name string
		tree scheduler.Tree
		on   string
		site scheduler.Site
		crew *scheduler.Crew
		rec  func(*scheduler.WorkRecord)
		want []string
	}{
		{"within every limit", oak, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Cuts.Under1, r.Cuts.OneTwo = 35, 8, 2 }, nil},
		{
			"third visit, 35 % by EP276", oak, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown = 45 },
			[]string{"live_crown : 35 % of the live crown in the growing season 2027 / 45 %"},
		},
		{
			"with what the season gave before", used, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown = 15 },
			[]string{"live_crown : 35 % of the live crown in the growing season 2027 / 45 %"},
		},
		{
			"a crown under stress gives none", poor, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown = 5 },
			[]string{"live_crown : 0 % of the live crown in the growing season 2027 / 5 %"},
		},
		{
			"an oak in May", oak, "2027-05-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown = 5 },
			[]string{"closed_season : oak closed season: no live cut before 2027-08-01 (state natural resources agency (put yours here)) / live cut on 2027-05-12"},
		},
		{
			"an oak in May, an emergency", oak, "2027-05-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Kinds = 5, []scheduler.WorkKind{scheduler.MakeSafe} },
			[]string{"closed_season : oak closed season: no live cut before 2027-08-01 (state natural resources agency (put yours here)) / live cut on 2027-05-12"},
		},
		{"dead wood in May", oak, "2027-05-12", street(), nil, func(r *scheduler.WorkRecord) { r.Cuts.Under1 = 4 }, nil},
		{"another species in May", basswood, "2027-05-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown = 5 }, nil},
		{
			"a cut above 4 in", oak, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Cuts.TwoFour, r.Cuts.Over4 = 5, 2, 1 },
			[]string{"cut_size : call before a cut above 100 mm / 1 above 4 in"},
		},
		{
			"one row stricter", basswood, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Cuts.TwoFour, r.Cuts.Over4 = 5, 2, 1 },
			[]string{"cut_size : call before a cut above 50 mm / 3 above 2 in"},
		},
		{
			"a thick stem removed too soon", watched, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Watch = 10, gone("A") },
			[]string{
				"cut_table A: reduce first / A removed at 40 mm from a stem of 70 mm",
				"growing_season A: removal from 2027-11-01, a full growing season after its reduction / A reduced on 2026-06-10, removed on 2027-01-12",
			},
		},
		{"a small one in its time", watched, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Watch = 10, gone("B") }, nil},
		{
			"a large one without a reason", watched, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Watch = 10, gone("C") },
			[]string{"cut_table C: only with a stated reason / C removed at 60 mm from a stem of 200 mm"},
		},
		{"a large one with a reason", watched, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) {
			r.LiveCrown, r.Watch, r.Note = 10, gone("C"), "hung over the stop sign"
		}, nil},
		{
			"raised beyond 60 % live crown", oak, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Height, r.BaseRoad, r.BaseWalk = 20, 6000, 2600, 2400 },
			[]string{"crown_base road: not above 2.40 m (60 % live crown) / road side raised to 2.60 m"},
		},
		{
			"raised beyond the lowest permanent branch", planned, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Height, r.BaseWalk = 20, 6000, 2300 },
			[]string{"crown_base walk: not above 2.00 m (60 % live crown) / walk side raised to 2.30 m"},
		},
		{"measured, not raised", oak, "2027-01-12", street(), nil, func(r *scheduler.WorkRecord) { r.Height, r.BaseRoad = 6000, 2600 }, nil},
		{
			"a pickup crew under a line", tall, "2027-01-12", wired, crew(scheduler.Ground), func(r *scheduler.WorkRecord) { r.LiveCrown = 5 },
			[]string{"wire : line-clearance crew within 3.05 m of the line / crew Pickup 1 without line clearance"},
		},
		{"a line crew under a line", tall, "2027-01-12", wired, crew(scheduler.LineClearance), func(r *scheduler.WorkRecord) { r.LiveCrown = 5 }, nil},
		{"nobody knows which crew", tall, "2027-01-12", wired, nil, func(r *scheduler.WorkRecord) { r.LiveCrown = 5 }, nil},
		{"a removal spares nothing", oak, "2027-05-12", street(), nil, func(r *scheduler.WorkRecord) {
			r.LiveCrown, r.Cuts.Over4, r.Kinds = 100, 30, []scheduler.WorkKind{scheduler.Removal}
		}, nil},
		{"nothing was done", oak, "2027-05-12", street(), nil, func(r *scheduler.WorkRecord) { r.Outcome, r.Cuts.Over4 = scheduler.OutcomeNotDone, 1 }, nil},
		{"before the policy", oak, "2025-05-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown = 90 }, nil},
		{"past work brought in", oak, "2027-05-12", street(), nil, func(r *scheduler.WorkRecord) { r.LiveCrown, r.Source = 90, "history" }, nil},
	} {
		at := day(c.on).Time().Add(15 * time.Hour)
		rec := scheduler.WorkRecord{
			ID: "r", TreeID: 1, By: "R. Osei", Start: at, Finish: at, Kinds: []scheduler.WorkKind{scheduler.Training}, Outcome: scheduler.OutcomeDone,
		}
		c.rec(&rec)
		in := scheduler.RecordInput{Record: rec, On: day(c.on), Today: day(c.on), Tree: c.tree, Base: c.tree, Site: c.site, Crew: c.crew}
		var got []string
		for _, d := range e.Deviations(&in, c.tree) {
			got = append(got, fmt.Sprintf("%s %s: %s / %s", d.Rule, d.Item, d.Allowed, d.Found))
			if d.PolicyID != 7 || d.RecordID != "r" || d.On != in.On || d.Tree != "PL-1" {
				t.Errorf("%s: %+v", c.name, d)
			}
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

// A cut table of a city's own, and branches from stems that nobody measured.
func TestCutTableOfACity(t *testing.T) {
	practice := scheduler.PracticeRules{}.WithDefaults()
	common := newCutTable(&practice, 0)
	if a, b := common.judge(60, geo.None, scheduler.DecayAverage), common.judge(60, geo.None, scheduler.DecayWeak); a != cellReason || b != cellSupervisor {
		t.Errorf("no stem measured: %s, %s; the diameter alone judges", a, b)
	}
	own := newCutTable(&scheduler.PracticeRules{CutRows: []geo.Length{20, 40, 80}, CutRatios: []float64{0.25, 0.4}}, 0.5)
	if got := own.judge(45, 100, scheduler.DecayAverage); got != cellHoldAsk {
		t.Errorf("a stricter table: %s", got)
	}
	if a, b := own.callAbove(scheduler.DecayAverage), own.callAbove(scheduler.DecayWeak); a != 80 || b != 40 {
		t.Errorf("a stricter table: call above %s, %s", a, b)
	}
}
