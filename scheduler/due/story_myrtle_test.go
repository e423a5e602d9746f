package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// crapeMyrtle: a tree of several stems in a median, under a policy for the Piedmont.
func crapeMyrtle() story {
	return story{
		name: "crape_myrtle_median", preset: "central-florida",
		edit: func(p *scheduler.Policy) {
			stageIntervals(3, 3, 4, 5)(p)
			p.Region = "Piedmt"
			lateWinter(p)
		},
		tree: func() scheduler.Tree {
			t := plantedOn("LAIN", "2026-12-05")
			t.Stems = 7
			return t
		},
		site: func() scheduler.Site {
			s := street()
			s.StreetClass, s.ToWalk, s.ToCurb, s.ToLane = scheduler.Arterial, geo.None, 1500, 1500
			return s
		},
		began: "2026-12-05", today: "2026-12-06", years: 21,
		claims: func() []storyClaim {
			return []storyClaim{
				says(1, "first year", "sprouts", "sprouts"),
				visitAt(3, scheduler.Training),
				says(3, "stems", "keep three to five that grow outward", "three to five stems", "outward"),
				visitAt(6, scheduler.Training),
				sizeAt(10, 0, 5.1, 2.0),
				visitAt(10, scheduler.Training).but("the story's policy has 3 seasons in the leader stage, t6 and t9; a tree of several stems has no stages of its own"),
				sizeAt(15, 0, 6.6, 2.7),
				visitAt(15, scheduler.Training),
				says(15, "over the lane", "8 ft", "raise to 2."),
				sizeAt(20, 0, 7.8, 3.1),
				visitAt(20, scheduler.Training).but("4 seasons of temporaries after t15"),
				says(3, "season", "late winter", "15 feb"),
				pruningVisits(3, 20, 5, 5).but("3 seasons from visit to visit until the crown allows 8 ft, at t13, where by hand there were 4 and 5"),
				neverSays("leader", "no leader rule, no subordination", "leader"),
				everySays("tops", "never cut back", scheduler.Training, "never cut the tops back"),
				neverLimits("lowest permanent branch", "none on a tree of several stems", "lowest permanent branch"),
				says(3, "lane closure", "drives the cost: the whole median at once", "median").but("a matter of the year's plan and of routes, which charge the traffic set-up once for a block face; a tree's dates do not know its neighbours"),
			}
		},
	}
}
