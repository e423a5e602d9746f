package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// plantedOn is a tree planted on a day, caliper not recorded.
func plantedOn(species, on string) scheduler.Tree {
	t := bare(species)
	t.Ref, t.Planted, t.Precision, t.Stage = "S-1", day(on), scheduler.PreciseDay, scheduler.StageEstablishing
	return t
}

// firstVisitAfter sets the growing seasons to the first structural visit of a
// tree whose caliper is not recorded.
func firstVisitAfter(seasons int) func(*scheduler.Policy) {
	return func(p *scheduler.Policy) { p.Training.Stages[0].Seasons = seasons }
}

// fastSooner trains fast growers a season sooner, as a city may set it.
func fastSooner(p *scheduler.Policy) {
	p.Training.GrowthSeasons = map[string]int{"slow": 1, "fast": -1}
}

// stageIntervals sets that and the growing seasons from visit to visit in each
// stage, for a species of any growth.
func stageIntervals(establishing, leader, temporaries, raising int) func(*scheduler.Policy) {
	return func(p *scheduler.Policy) {
		evenPace(p)
		for i := range p.Training.Stages {
			r := &p.Training.Stages[i]
			switch r.Stage {
			case scheduler.StageEstablishing:
				r.Seasons = establishing
			case scheduler.StageLeader:
				r.Seasons = leader
			case scheduler.StageTemporaries:
				r.Seasons = temporaries
			case scheduler.StageRaising:
				r.Seasons = raising
			}
		}
	}
}

// plane: a bare-root London plane beside a parking lane in the Northeast.
func plane() story {
	return story{
		name: "london_plane_parking_lane", preset: "northeast", edit: stageIntervals(3, 3, 3, 4),
		tree:  func() scheduler.Tree { return plantedOn("PLAC", "2026-11-10") },
		site:  func() scheduler.Site { return parkingLane(street()) },
		began: "2026-11-10", today: "2026-11-12", years: 25,
		claims: func() []storyClaim {
			return []storyClaim{
				says(1, "first year", "broken and dead wood only", "broken, dead", "leave every sound live branch"),
				doseAt(1, 0, 0),
				says(1, "first year", "stakes off", "stakes off"),
				says(1, "first year", "warranty", "warranty inspection"),
				sizeAt(3, 6.2, 5.1, 2.0),
				visitAt(3, scheduler.Training),
				says(3, "leader", "choose one leader", "choose one leader"),
				says(3, "competing leaders", "up to 25 mm out, others reduced by half", "25 mm", "half").but("the objective is a text of the policy and names no diameter; the limit on the card is the small cut of the policy, 50 mm (GardenNotes 613)"),
				says(3, "temporary branches", "all below 4.6 m", "any below 4.6", "temporary").but("by hand the height to clear to over the lane (15 ft); the engine adds 0.40 m of droop and says below 4.97 m"),
				sizeAt(6, 9.9, 6.2, 2.5),
				visitAt(6, scheduler.Training),
				baseReaches(6, geo.Feet(8), 0.5),
				sizeAt(9, 13.5, 7.1, 2.9),
				visitAt(9, scheduler.Training),
				says(9, "temporary branches", "largest out", "largest temporary"),
				sizeAt(12, 16.9, 8.1, 3.2),
				visitAt(12, scheduler.Training),
				permanentChosen(12),
				permanentHeight(4.9),
				crownPasses(13, geo.Metres(3.3), 0.5),
				says(16, "lane side", "reduce the lane side", "road side", "reduce").but("the underside of a crown rises outward: over the lane edge, 3.3 m from the trunk, a base of 3.2 m leaves more than 14 ft free; by hand the crown was taken as flat"),
				sizeAt(16, 21.3, 9.2, 3.7),
				visitAt(16, scheduler.Training).but("the stage of temporaries, every 3 seasons, lasts until the crown allows three quarters of the height to clear (3.43 m, t13.8); by hand the 4 seasons of raising begin at t12"),
				sizeAt(20, 25.5, 10.2, 4.1),
				visitAt(20, scheduler.Training).but("the raising stage begins at t18 and has 4 seasons, to t22"),
				raisesTo(20, 4.0).but("no visit then: t18 raises to 3.9 m and t22 to what the crown allows"),
				pruningVisits(3, 20, 6, 6),
				rotationFrom(24).but("the base reaches 14 ft at t22, the visit that falls where the crown allows it; by hand the visits fall at t20 and t24"),
			}
		},
	}
}
