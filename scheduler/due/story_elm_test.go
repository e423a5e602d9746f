package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// elm: an American elm cultivar at a curb without parking, with five leaders,
// in the upper Midwest.
func elm() story {
	leader := func(mm, stem geo.Length, side scheduler.Side) scheduler.WatchFinding {
		return scheduler.WatchFinding{
			What: "competing leader", Height: 2600, Side: side, Diameter: mm, StemDiameter: stem,
			Done: "reduced by half", Reduced: true, Intent: scheduler.RemoveLater,
		}
	}
	return story{
		name: "american_elm_five_leaders", preset: "upper-midwest", edit: both(firstVisitAfter(2), fastSooner),
		tree:  func() scheduler.Tree { return plantedOn("ULAM", "2026-11-10") },
		site:  street,
		began: "2026-11-10", today: "2026-11-12", years: 20,
		events: []storyEvent{{
			of: scheduler.Training, what: "Five leaders: half of them out, two reduced and left.",
			record: &scheduler.WorkRecord{
				Kinds: []scheduler.WorkKind{scheduler.Training, scheduler.RoadClearance, scheduler.WalkClearance}, LiveCrown: 25, BaseRoad: 2000, BaseWalk: 2000,
				Watch: []scheduler.WatchFinding{leader(22, 48, scheduler.SideUpStreet), leader(20, 48, scheduler.SideRoad)},
				Stage: scheduler.StageLeader,
			},
		}},
		claims: func() []storyClaim {
			return []storyClaim{
				closedDays(scheduler.MonthDay{Month: 4, Day: 1}, scheduler.MonthDay{Month: 8, Day: 31}),
				sizeAt(2, 6.7, 5.2, 0),
				visitAt(2, scheduler.Training),
				says(2, "more than three leaders", "two stages, half now", "two stages", "more than three"),
				sizeAt(4, 9.6, 6.8, 2.7),
				visitAt(4, scheduler.Training),
				itemAfter(4, "A", false),
				itemAfter(4, "B", false),
				sizeAt(6, 12.4, 8.1, 3.2),
				visitAt(6, scheduler.Training),
				sizeAt(8, 15.2, 9.3, 3.7),
				visitAt(8, scheduler.Training),
				raisesTo(8, 3.4).but("the height to clear is not within the crown yet, so the side is raised as far as 60 % live crown allows, 3.7 m; by hand a part of it was kept for the next visit"),
				skillFrom(8, scheduler.Lift),
				sizeAt(11, 19.4, 10.8, 4.3),
				visitAt(11, scheduler.Training),
				skillAt(11, scheduler.Lift).but("the leader work is over, and raising cuts lie at the new base, 4.3 m, within the reach of 4.6 m"),
				baseReaches(11, geo.Feet(14), 0.3),
				visitAt(14),
				visitAt(18).but("training ends with the visit of t14: leader, permanent branch and both sides are reached, and stay clear for the eight years to the rotation prune"),
				pruningVisits(2, 18, 7, 7).but("without the last one of t18"),
				rotationFrom(18).but("at the visit of t14, see t18; by hand one more look was planned"),
				everySays("elm-wood rule", "on every packet", scheduler.Training, "elm wood"),
				says(8, "ice", "rated high", "ice", "high"),
			}
		},
	}
}
