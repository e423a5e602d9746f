package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// zelkova: nine years old and never trained, five stems from one point.
func zelkova() story {
	stem := func(mm, parent geo.Length, intent scheduler.Intent, side scheduler.Side) scheduler.WatchFinding {
		return scheduler.WatchFinding{
			What: "competing leader", Height: 2200, Side: side, Diameter: mm, StemDiameter: parent,
			Done: "reduced by half", Reduced: true, Intent: intent,
		}
	}
	return story{
		name: "zelkova_never_trained", preset: "northeast",
		edit: func(p *scheduler.Policy) {
			stageIntervals(2, 2, 2, 3)(p)
			lookedAtAll(p)
		},
		tree: func() scheduler.Tree {
			t := plantedOn("ZESE", "2017-11-10")
			t.Stage = scheduler.StageUnknown
			return t
		},
		site:  func() scheduler.Site { return parkingLane(street()) },
		began: "2017-11-10", today: "2026-11-10", years: 13,
		events: []storyEvent{{
			of: scheduler.FirstLook, what: "First visit: five stems of 30 to 55 mm from one point. One chosen, the two smallest out, the others reduced by half; stopped at the dose.",
			record: &scheduler.WorkRecord{
				Kinds: []scheduler.WorkKind{scheduler.FirstLook, scheduler.Training, scheduler.WalkClearance}, LiveCrown: 25, DBH: 141, Height: 7100, BaseRoad: 2000, BaseWalk: 2500,
				Stage: scheduler.StageLeader,
				Watch: []scheduler.WatchFinding{
					stem(38, 78, scheduler.RemoveLater, scheduler.SideUpStreet),
					stem(44, 78, scheduler.RemoveLater, scheduler.SideDownStreet),
					stem(50, 55, scheduler.HoldTier, scheduler.SideWalk),
				},
			},
		}},
		claims: func() []storyClaim {
			return []storyClaim{
				sizeAt(9, 14.1, 7.1, 2.8),
				visitAt(9, scheduler.FirstLook),
				says(9, "stage", "leader, not raising", "no leader was ever chosen"),
				says(9, "five stems", "choose one, smallest out, others reduced", "choose one", "smallest", "reduce the others"),
				skillAt(9, scheduler.Lift).but("a first look is planned for a ground crew: leader cuts lie at about 55 % of 7.1 m, 3.9 m, within a pole saw's reach of 4.6 m"),
				says(9, "live crown", "stop at 25 %", "at most: 25 %"),
				sizeAt(11, 16.7, 7.9, 0),
				visitAt(11, scheduler.Training),
				itemAfter(11, "A", false),
				itemAfter(11, "B", true),
				sizeAt(13, 19.4, 8.6, 0),
				visitAt(13, scheduler.Training),
				itemAfter(13, "B", false).but("with the trunk from 14.1 to 19.4 cm the reduced stem thickens from 44 to 58 mm, past the small cut of 50 mm: the card of t11 says take it now or hold it for good, and the model holds it"),
				sizeAt(16, 23.4, 9.7, 3.9),
				visitAt(16, scheduler.Training),
				itemAfter(16, "C", true),
				says(16, "C", "held", "c (competing leader", "hold it as lower tier"),
				sizeAt(20, 28.7, 10.8, 4.3),
				visitAt(20).but("the raising stage begins at t16: 3 seasons, to t19 and t22"),
				pruningVisits(11, 20, 4, 4),
				baseReaches(20, geo.Feet(14), 1),
				rotationFrom(20).but("the base reaches 14 ft by the visit of t22; those before fall at t16 and t19"),
				itemAfter(20, "C", true),
			}
		},
	}
}

// zelkovaUnseen is the same tree when nobody writes down what the first look
// finds: what the calendar of an inventory shows.
func zelkovaUnseen() story {
	s := zelkova()
	s.name, s.edit, s.events = "zelkova_unseen", nil, nil
	s.claims = func() []storyClaim {
		return []storyClaim{stateAt(9, scheduler.NotAssessed)}
	}
	return s
}
