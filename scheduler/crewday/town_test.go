package crewday

import (
	"math/rand/v2"

	"limbround/geo"
	"limbround/geo/road"
	"limbround/scheduler"
)

// monday is the first day of the tests' week.
var monday = scheduler.NewDate(2026, 11, 30)

func week() []scheduler.Date {
	return []scheduler.Date{monday, monday + 1, monday + 2, monday + 3, monday + 4}
}

func spot(x, y float64) geo.Point { return geo.Point{X: 500_000 + x, Y: 4_400_000 + y} }

// town is a grid of blocks of 160 by 80 m: streets east have odd ids, streets
// north even ones, and every fifth row is an arterial.
func town(size int) ([]road.Street, map[int64]scheduler.StreetClass) {
	var streets []road.Street
	class := map[int64]scheduler.StreetClass{}
	for y := range size {
		for x := range size {
			id := int64(2*(y*size+x) + 1)
			at := spot(float64(x)*160, float64(y)*80)
			c := scheduler.Residential
			if y%5 == 2 {
				c = scheduler.Arterial
			}
			class[id], class[id+1] = c, scheduler.Residential
			streets = append(streets,
				road.Street{ID: id, Line: []geo.Point{at, at.Add(geo.Point{X: 160})}, Class: road.Class(c)},
				road.Street{ID: id + 1, Line: []geo.Point{at, at.Add(geo.Point{Y: 80})}, Class: road.Residential})
		}
	}
	return streets, class
}

func work() scheduler.WorkRules {
	return scheduler.WorkRules{WalkSetUp: 2, SetUp: map[scheduler.StreetClass]int{
		scheduler.Arterial: 20, scheduler.Collector: 12, scheduler.Residential: 8, scheduler.Alley: 6,
	}}
}

// base is a request without jobs: two yards, two dumps and so many crews, every
// second one with a lift and every fourth cleared for lines.
func base(size, crews int) Request {
	streets, _ := town(size)
	far := float64(size-1) * 80
	r := Request{
		Days: week(), Work: work(), Graph: road.New(streets),
		Depots: []scheduler.Depot{{ID: 1, Name: "North Yard", Position: spot(10, 5)}, {ID: 2, Name: "Quarry Yard", Position: spot(2*far, far)}},
		Dumps:  []scheduler.Dump{{ID: 11, Name: "Mill Lane", Minutes: 20, Position: spot(far, 0)}, {ID: 12, Name: "Elm pit", Minutes: 30, Sanitary: "elm", Position: spot(0, far)}},
	}
	for i := range crews {
		c := scheduler.Crew{
			ID: int64(101 + i), Name: string(rune('A' + i)), DepotID: int64(1 + i%2), People: 3, Skills: []scheduler.Skill{scheduler.Ground},
			TruckL: 12_000, ShiftStart: 420, ShiftMin: 480, YardMin: 45, BreakMin: 30, Weekdays: 31,
		}
		if i%2 == 1 {
			c.Skills = append(c.Skills, scheduler.Lift)
		}
		if i%4 == 3 {
			c.Skills = append(c.Skills, scheduler.LineClearance)
		}
		r.Crews = append(r.Crews, c)
	}
	return r
}

// job is a visit to a tree on a block, m metres along it.
func job(id, street int64, m float64, side scheduler.Side, class scheduler.StreetClass, v scheduler.Visit) Job {
	v.ID, v.TreeID, v.SiteID, v.Progress = id, id, id, scheduler.Open
	if v.State == "" {
		v.State = scheduler.Due
	}
	face := 2 * street
	if side == scheduler.SideLeft {
		face++
	}
	return Job{
		Visit: v, Along: geo.Metres(m),
		Site: scheduler.Site{ID: id, StreetID: street, StreetSide: side, FaceID: face, StreetClass: class},
	}
}

// randomJobs scatters visits over the town: seven of ten on faces where all
// trees are due.
func randomJobs(seed uint64, size, n int) []Job {
	r := rand.New(rand.NewPCG(seed, 3))
	_, class := town(size)
	var jobs []Job
	for len(jobs) < n {
		street := int64(1 + r.IntN(2*size*size))
		side := []scheduler.Side{scheduler.SideLeft, scheduler.SideRight}[r.IntN(2)]
		whole := r.IntN(10) < 7
		training := r.IntN(3) == 0
		for m := 8.0; m < 75 && len(jobs) < n; m += 12 {
			v := scheduler.Visit{Kind: scheduler.RotationPrune, Skill: scheduler.Ground, Minutes: 8 + r.IntN(20), ChipsL: 100 + r.IntN(2000), Class: 4, Score: r.IntN(60)}
			if training {
				v.Kind, v.Minutes, v.ChipsL = scheduler.Training, 4+r.IntN(4), 20+r.IntN(60)
			}
			switch k := r.IntN(40); {
			case k < 10 && !training:
				v.Skill = scheduler.Lift
			case k == 11:
				v.Skill = scheduler.LineClearance
			case k == 12:
				v.Class = 0
			case k < 16:
				v.Class, v.Window.Latest = 3, monday+2
			}
			j := job(int64(len(jobs)+1), street, m, side, class[street], v)
			if r.IntN(60) == 0 {
				j.Sanitation = "elm"
			}
			jobs = append(jobs, j)
			if !whole {
				break
			}
		}
	}
	return jobs
}
