package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// mapleUnderWire: a red maple under a primary line.
func mapleUnderWire() story {
	return story{
		name: "red_maple_under_wire", preset: "lower-midwest", edit: both(firstVisitAfter(3), fastSooner),
		tree: func() scheduler.Tree { return plantedOn("ACRU", "2026-11-10") },
		site: func() scheduler.Site {
			s := parkingLane(street())
			s.WireClass, s.ToWire, s.WireHeight = scheduler.WirePrimary, 0, geo.Metres(9)
			return s
		},
		began: "2026-11-10", today: "2026-11-12", years: 17,
		claims: func() []storyClaim {
			return []storyClaim{
				figureAt(-1, "the approach distance of 10 ft begins at", 5.95, 0.01, " m", func(r *storyRun) (float64, bool) {
					return r.draftOn(r.began).wireCap().M(), true
				}),
				figureAt(7.5, "the top enters it, t", 7.5, 0.15, "", func(r *storyRun) (float64, bool) {
					return firstTime(r, 0, func(d *draft, on scheduler.Date) bool { return d.at(on).Height >= d.wireCap() })
				}),
				visitAt(3, scheduler.Training),
				skillAt(3, scheduler.Ground),
				sizeAt(5, 6.8, 4.8, 0),
				says(5, "what to do about the line", "the manager decides: replace, or spread low", "replace", "spread low"),
				visitAt(7, scheduler.Training),
				skillAt(7, scheduler.Ground),
				skillFrom(10, scheduler.LineClearance).but("from t10 on the visits raise the sides and work low in the crown, which a ground crew may; work above 5.95 m stays with a line-clearance crew and the utility"),
				visitAt(10, scheduler.WalkClearance),
				visitAt(13, scheduler.WalkClearance),
				visitAt(16, scheduler.WalkClearance),
				skillAt(13, scheduler.Ground, scheduler.WalkClearance),
				everySays("qualified workers' distances", "never printed: only the 10 ft rule", scheduler.Training, "overhead line", "10.0 ft"),
				figureAt(16, "height in the rules, capped at", 5.95, 0.01, " m", func(r *storyRun) (float64, bool) {
					on := r.day(16)
					return r.draftOn(on).treeHeight(on).M(), true
				}),
				says(8, "replacement", "advised by t8", "replace"),
			}
		},
	}
}
