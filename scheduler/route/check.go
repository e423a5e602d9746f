package route

import "fmt"

// Check works a result through against its problem, step by step, and returns
// the first thing that does not hold. It shares no code with the search.
func Check(p *Problem, r *Result) error {
	seen := make([]int, len(p.Stops))
	used := make([]bool, len(p.Vehicles))
	var sum Cost
	for i := range r.Routes {
		v := r.Routes[i].Vehicle
		if v < 0 || v >= len(used) || used[v] {
			return fmt.Errorf("route %d: vehicle %d does not exist or is used twice", i, v)
		}
		used[v] = true
		if err := checkRoute(p, &r.Routes[i], seen, &sum); err != nil {
			return fmt.Errorf("vehicle %d: %w", v, err)
		}
	}
	for _, u := range r.Unserved {
		if u.Stop < 0 || u.Stop >= len(seen) || u.Cause == "" {
			return fmt.Errorf("left-out stop %d has cause %q", u.Stop, u.Cause)
		}
		seen[u.Stop]++
		sum.Missed += p.Stops[u.Stop].Prize
		for v := range p.Vehicles {
			if !used[v] && canAlone(p, u.Stop, v) {
				return fmt.Errorf("stop %d is left out (%s) though idle vehicle %d can make it", u.Stop, u.Cause, v)
			}
		}
	}
	for i, n := range seen {
		if n != 1 {
			return fmt.Errorf("stop %d is in the result %d times", i, n)
		}
	}
	if sum != r.Cost {
		return fmt.Errorf("cost is %+v, the steps add up to %+v", r.Cost, sum)
	}
	if r.Bound > r.Cost.Paid() {
		return fmt.Errorf("bound %d exceeds the plan's %d paid seconds", r.Bound, r.Cost.Paid())
	}
	return nil
}

func checkRoute(p *Problem, r *Route, seen []int, sum *Cost) error {
	v := p.Vehicles[r.Vehicle]
	travel := p.Travel[v.Profile]
	if len(r.Steps) == 0 {
		return fmt.Errorf("route without a step")
	}
	t, place, load, mask := v.Open, v.Start, 0, ^uint64(0)
	prev := -1 // stop just before, -1 when the truck came from elsewhere
	setUp := 0
	for k, s := range r.Steps {
		drive := 0
		switch {
		case s.Stop >= 0 && s.Dump < 0:
			if s.Stop >= len(p.Stops) {
				return fmt.Errorf("step %d: no stop %d", k, s.Stop)
			}
			x := p.Stops[s.Stop]
			seen[s.Stop]++
			if prev >= 0 && p.Stops[prev].Group == x.Group {
				drive = max(p.Stops[prev].Pos-x.Pos, x.Pos-p.Stops[prev].Pos)
			} else {
				drive, setUp = travel.Seconds(place, x.Place), 0
			}
			if x.Skills&^v.Skills != 0 || x.Days != 0 && x.Days>>v.Day&1 == 0 || x.Lock != 0 && x.Lock-1 != r.Vehicle {
				return fmt.Errorf("step %d: stop %d is not for this vehicle", k, s.Stop)
			}
			if want := max(0, x.SetUp-setUp); s.SetUp != want {
				return fmt.Errorf("step %d: set-up of %d s, want %d", k, s.SetUp, want)
			}
			setUp = max(setUp, x.SetUp)
			if s.Wait != max(0, x.Open-s.Arrive) || x.Close > 0 && s.Arrive > x.Close {
				return fmt.Errorf("step %d: window of stop %d is not kept", k, s.Stop)
			}
			if s.Work != x.Service {
				return fmt.Errorf("step %d: works %d s, want %d", k, s.Work, x.Service)
			}
			load += x.Demand
			if x.Demand > 0 && x.Dumps != 0 {
				mask &= x.Dumps
			}
			if x.Demand > 0 && x.Dumps != 0 && len(p.Dumps) == 0 {
				return fmt.Errorf("step %d: no dump takes the load of stop %d", k, s.Stop)
			}
			if load > v.Capacity {
				return fmt.Errorf("step %d: %d litres in a truck of %d", k, load, v.Capacity)
			}
			place, prev = x.Place, s.Stop
			sum.Work += int64(s.Work)
			sum.Delay += x.Delay * int64(v.Day)
		case s.Dump >= 0 && s.Dump < len(p.Dumps) && s.Stop < 0:
			d := p.Dumps[s.Dump]
			drive = travel.Seconds(place, d.Place)
			if load > 0 && mask>>s.Dump&1 == 0 {
				return fmt.Errorf("step %d: dump %d does not take the load", k, s.Dump)
			}
			if s.Wait != 0 || s.SetUp != 0 || s.Work != d.Seconds {
				return fmt.Errorf("step %d: dump trip of %+v", k, s)
			}
			load, mask, place, prev = 0, ^uint64(0), d.Place, -1
			sum.Dump += int64(s.Work)
		default:
			return fmt.Errorf("step %d is neither a stop nor a dump", k)
		}
		if s.Drive != drive || s.Arrive != t+drive {
			return fmt.Errorf("step %d: drives %d s to arrive at %d, want %d and %d", k, s.Drive, s.Arrive, drive, t+drive)
		}
		t = s.Arrive + s.Wait + s.SetUp + s.Work
		sum.Drive += int64(s.Drive)
		sum.Wait += int64(s.Wait)
		sum.SetUp += int64(s.SetUp)
	}
	if load > 0 && len(p.Dumps) > 0 {
		return fmt.Errorf("ends its day with %d litres on the truck", load)
	}
	if back := travel.Seconds(place, v.End); r.Drive != back || r.Finish != t+back {
		return fmt.Errorf("back at %d after %d s, want %d after %d", r.Finish, r.Drive, t+back, back)
	}
	if r.Finish > v.Open+v.Productive {
		return fmt.Errorf("day ends %d s late", r.Finish-v.Open-v.Productive)
	}
	sum.Drive += int64(r.Drive)
	sum.Fixed += int64(v.Fixed)
	return nil
}

// canAlone reports whether the vehicle can make the one stop and nothing else.
func canAlone(p *Problem, stop, vehicle int) bool {
	s, v := p.Stops[stop], p.Vehicles[vehicle]
	travel := p.Travel[v.Profile]
	if s.Skills&^v.Skills != 0 || s.Days != 0 && s.Days>>v.Day&1 == 0 || s.Lock != 0 && s.Lock-1 != vehicle || s.Demand > v.Capacity {
		return false
	}
	t := max(v.Open+travel.Seconds(v.Start, s.Place), s.Open)
	if s.Close > 0 && t > s.Close {
		return false
	}
	t += s.SetUp + s.Service
	latest := v.Open + v.Productive
	if s.Demand == 0 || len(p.Dumps) == 0 && s.Dumps == 0 {
		return t+travel.Seconds(s.Place, v.End) <= latest
	}
	for d := range p.Dumps {
		if s.Dumps != 0 && s.Dumps>>d&1 == 0 {
			continue
		}
		if t+travel.Seconds(s.Place, p.Dumps[d].Place)+p.Dumps[d].Seconds+travel.Seconds(p.Dumps[d].Place, v.End) <= latest {
			return true
		}
	}
	return false
}
