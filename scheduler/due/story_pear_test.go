package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// pearWithoutDate: a callery pear of 22 cm in a shopping street, of which
// nobody knows when it was planted. Its years count from the first look.
func pearWithoutDate() story {
	return story{
		name: "callery_pear_no_date", preset: "lower-midwest",
		tree: func() scheduler.Tree {
			t := bare("PYCA")
			t.Ref, t.DBH, t.MeasuredOn = "P-23", 220, day("2026-06-01") // a number that draws the first year, as half of such trees do
			return t
		},
		site: func() scheduler.Site {
			s := parkingLane(street())
			s.StreetClass = scheduler.Arterial
			return s
		},
		began: "2027-02-01", today: "2026-11-25", years: 22,
		events: []storyEvent{
			{
				of:   scheduler.FirstLook,
				what: "First look: ends reduced, no cut over 100 mm, the worst union written down.",
				record: &scheduler.WorkRecord{
					Kinds: []scheduler.WorkKind{scheduler.FirstLook, scheduler.Training, scheduler.RoadClearance}, LiveCrown: 18, DBH: 220, Height: 8800, BaseRoad: 3100, BaseWalk: 2600,
					Cuts: scheduler.CutTally{Under1: 10, OneTwo: 8, TwoFour: 2},
					Watch: []scheduler.WatchFinding{{
						What: "union", Height: 1900, Side: scheduler.SideRoad, Diameter: 95, StemDiameter: 130, IncludedBark: true, Done: "photo", Intent: scheduler.WatchOnly,
					}},
				},
			},
			{
				on: "2037-01-20", what: "The manager decides: out, and a new tree of another kind.",
				record: &scheduler.WorkRecord{Kinds: []scheduler.WorkKind{scheduler.Removal, scheduler.StumpGrinding}},
			},
			{
				on: "2037-11-10", what: "A littleleaf linden is planted on the same site.",
				tree: func(t *scheduler.Tree) {
					*t = plantedOn("TICO", "2037-11-10")
					t.ID, t.Ref, t.Caliper = 2, "P-24", geo.Inches(3)
				},
			},
		},
		claims: func() []storyClaim {
			return []storyClaim{
				figureAt(0, "equivalent age on the curve", 14, 0.5, " years", func(r *storyRun) (float64, bool) {
					tree, site := r.s.tree(), r.s.site()
					d := r.draft(&tree, &site, day(r.s.today))
					return d.at(tree.MeasuredOn).Age, true
				}),
				stateAt(0, scheduler.NotAssessed),
				visitAt(0, scheduler.FirstLook),
				sizeAt(0, 0, 8.8, 0),
				doseAt(0, 15, 20).but("25 % is the policy's limit; the record took 18 %"),
				says(0, "largest cut", "none over 100 mm", "above 100 mm"),
				says(0, "worst union", "recorded", "included bark"),
				visitAt(2).but("the policy's leader stage has 3 seasons"),
				visitAt(5).but("3 seasons after t3"),
				says(2, "union with included bark", "any crack: stop", "crack", "stop"),
				says(2, "union with included bark", "any crack: cordon", "crack", "people out"),
				sizeAt(8, 32.1, 10.5, 0),
				visitAt(8).but("the raising stage begins at t6 and has 4 seasons, to t10"),
				says(8, "removal and replacement", "decide by year 10", "by 31 oct 2036", "decides on removal and replacement"),
				pruningVisits(2, 8, 3, 3).but("t3 and t6; the next is t10, with the policy's 3 and 4 seasons"),
				visitAt(11.5, scheduler.Establishment),
				visitAt(13.8, scheduler.Training),
				visitAt(20, scheduler.Training),
			}
		},
	}
}

// stateAt: the state of the visit near t, on the day the story begins.
func stateAt(t float64, state scheduler.VisitState) storyClaim {
	return storyClaim{t: t, what: "state", hand: string(state), got: func(r *storyRun) (string, bool) {
		tree, site := r.s.tree(), r.s.site()
		for _, v := range r.e.Visits(tree, site, day(r.s.today)) {
			if v.State == state {
				return string(v.State), true
			}
		}
		return "another", false
	}}
}
