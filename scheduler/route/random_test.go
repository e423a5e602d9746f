package route

import "math/rand/v2"

// shape says how large a random problem is and what it has.
type shape struct {
	stops, groups, vehicles, dumps int
	windows                        bool
	crowded                        bool // more work than the days hold
}

// randomProblem makes a problem on a plane, in seconds of straight driving
// rounded up, so that the triangle inequality holds.
func randomProblem(seed uint64, sh shape) Problem {
	r := rand.New(rand.NewPCG(seed, 7))
	type point struct{ x, y int }
	var at []point
	place := func() int {
		at = append(at, point{r.IntN(900), r.IntN(900)})
		return len(at) - 1
	}
	p := Problem{Metric: true}
	depots := []int{place(), place()}
	for range sh.dumps {
		p.Dumps = append(p.Dumps, Dump{Place: place(), Seconds: 300 + r.IntN(900)})
	}
	groups := make([]int, sh.groups)
	for g := range groups {
		groups[g] = place()
	}
	for range sh.stops {
		g := r.IntN(sh.groups)
		s := Stop{
			Place: groups[g], Group: 10 + g, Pos: r.IntN(120), Service: 120 + r.IntN(1500), SetUp: []int{60, 480, 900}[r.IntN(3)],
			Demand: []int{0, 200, 1500, 4000}[r.IntN(4)], Skills: []uint32{0, 0, 0, 1, 2}[r.IntN(5)],
			Prize: []int64{200_000, 200_000, 20_000_000}[r.IntN(3)], Delay: []int64{0, 0, 3600}[r.IntN(3)],
		}
		if r.IntN(8) == 0 {
			s.Days = uint64(1 + r.IntN(7))
		}
		if r.IntN(10) == 0 && sh.dumps > 0 {
			s.Dumps = uint64(1) << r.IntN(sh.dumps)
		}
		if sh.vehicles > 0 && r.IntN(12) == 0 {
			s.Lock = 1 + r.IntN(sh.vehicles)
		}
		if sh.windows && r.IntN(3) == 0 {
			s.Open = r.IntN(12_000)
			s.Close = s.Open + r.IntN(6_000)
		}
		p.Stops = append(p.Stops, s)
	}
	day := 23_400
	if sh.crowded {
		day = 6_000
	}
	for v := range sh.vehicles {
		d := depots[r.IntN(2)]
		p.Vehicles = append(p.Vehicles, Vehicle{
			Start: d, End: d, Open: 1800 * r.IntN(3), Productive: day - r.IntN(day/3), Capacity: 5000 + 3000*r.IntN(3),
			Skills: uint32(r.IntN(4)), Day: v % 5, Fixed: 4500, Profile: r.IntN(2),
		})
	}
	p.Places = len(at)
	for _, slow := range []int{1, 2} { // the second profile is a slower truck
		m := Matrix{N: p.Places, Sec: make([]int32, p.Places*p.Places)}
		for i, a := range at {
			for j, b := range at {
				m.Sec[i*p.Places+j] = int32(slow * (max(a.x-b.x, b.x-a.x) + max(a.y-b.y, b.y-a.y)))
			}
		}
		p.Travel = append(p.Travel, m)
	}
	return p
}
