package due

import (
	"time"

	"limbround/scheduler"
)

// honeylocust: a fast tree in the upper Midwest that loses a scaffold to ice in its fourteenth year.
func honeylocust() story {
	kinds := func(k ...scheduler.WorkKind) []scheduler.WorkKind { return k }
	return story{
		name: "honeylocust_ice", preset: "upper-midwest",
		edit: func(p *scheduler.Policy) {
			stageIntervals(3, 3, 3, 3)(p)
			lateWinter(p, "honeylocust")
		},
		tree:  func() scheduler.Tree { return plantedOn("GLTR", "2026-11-10") },
		site:  func() scheduler.Site { return parkingLane(street()) },
		began: "2026-11-10", today: "2026-11-12", years: 24,
		events: []storyEvent{
			{
				on: "2041-01-12", what: "Ice splits one of three scaffolds; it hangs over the lane.",
				record: &scheduler.WorkRecord{
					Kinds:  kinds(scheduler.Inspection),
					Hazard: &scheduler.Hazard{What: "one of three scaffolds split by ice, hanging over the lane", Class: 0, CalledTo: "duty officer", At: time.Date(2041, 1, 12, 7, 40, 0, 0, time.UTC)},
				},
				ask: true,
			},
			{
				on: "2041-01-12", what: "Made safe the same day.",
				record: &scheduler.WorkRecord{Kinds: kinds(scheduler.MakeSafe), LiveCrown: 10, Cuts: scheduler.CutTally{Over4: 1}},
				ask:    true,
			},
			{
				of: scheduler.Restoration, on: "2041-01-25", what: "Broken ends cleaned back to sound laterals; the unions rated again.",
				record: &scheduler.WorkRecord{
					Kinds: kinds(scheduler.Restoration), LiveCrown: 5, Cuts: scheduler.CutTally{OneTwo: 4, TwoFour: 2},
					Watch: []scheduler.WatchFinding{{What: "union", Height: 3200, Side: scheduler.SideRoad, Intent: scheduler.WatchOnly, Done: "rated again"}},
				},
				ask: true,
			},
		},
		claims: func() []storyClaim {
			return []storyClaim{
				closedDays(scheduler.MonthDay{Month: 4, Day: 1}, scheduler.MonthDay{Month: 6, Day: 30}),
				visitAt(3, scheduler.Training),
				says(3, "season", "late winter", "15 feb"),
				visitAt(6, scheduler.Training),
				sizeAt(9, 19.3, 9.5, 0),
				visitAt(9, scheduler.Training),
				sizeAt(12, 29.8, 12.0, 0),
				visitAt(12, scheduler.Training),
				pruningVisits(3, 12, 4, 4),
				sizeAt(14, 36.8, 13.4, 0).but("13.51: the table restores digits that the printed height coefficients lost; without them 13.4"),
				says(14.2, "split scaffold", "made safe within hours", "act within 24 hours"),
				openWork(14.2, "broken ends", "cleaned to sound laterals within two weeks", scheduler.Restoration),
				visitAt(15, scheduler.Inspection),
				says(15, "sprouts", "look only", "look only and take no sprouts"),
				pruningVisits(14.9, 15.1, 0, 0),
				visitAt(17, scheduler.Restoration),
				says(17, "sprouts", "choose, a third out", "sprouts", "third"),
				visitAt(19, scheduler.Restoration),
				says(19, "sprouts", "another third", "third"),
				visitAt(20, scheduler.Inspection),
				sizeAt(22, 53.8, 0, 0),
				says(22.5, "sizes", "end of published range", "end of the published range"),
			}
		},
	}
}

// lateWinter adds the months in which a city would rather prune, without a ban.
func lateWinter(p *scheduler.Policy, groups ...string) {
	p.Seasons.Special = append(p.Seasons.Special, scheduler.Season{
		Name: "late winter", Kind: scheduler.SeasonPreferred, From: scheduler.MonthDay{Month: 2, Day: 15}, To: scheduler.MonthDay{Month: 3, Day: 15},
		Groups: groups, Authority: "the city", Source: "common practice",
	})
}
