package route

// Bound is a proven lower bound on the paid seconds of every plan that makes
// the served stops. It adds what no plan avoids:
//
//   - the work of every stop;
//   - for every group, the largest set-up among its stops once: whoever makes
//     that stop pays it on arrival;
//   - as many dump trips as the loads fill trucks of the largest size;
//   - driving: every group, every dump trip and every vehicle's return is reached
//     by an arc of its own, which is no shorter than the shortest arc into it. The
//     same holds for the arcs out of them; the larger sum counts. Where travel
//     keeps the triangle inequality, a vehicle that visits a group drives at least
//     there and back, and a day holds only so much work, so that each second of
//     work carries its share of the way (Haimovich and Rinnooy Kan 1985);
//   - as many vehicles' fixed seconds as days are filled by all of this.
//
// For one vehicle and few groups the driving is bounded by the shortest tour.
func Bound(p *Problem, served []bool) int64 {
	b := newBounder(p, served)
	if len(b.groups) == 0 || len(p.Vehicles) == 0 {
		return 0
	}
	in, toEnd := b.arcs(false)
	out, fromStart := b.arcs(true)
	other := max(b.radial(), b.tour())
	vehicles := int64(1)
	for {
		paid := b.work + b.setUp + max(in+vehicles*toEnd, out+vehicles*fromStart, other)
		need := min((paid+b.day-1)/max(b.day, 1), int64(len(p.Vehicles)))
		if need <= vehicles {
			return paid + vehicles*b.fixed
		}
		vehicles = need
	}
}

// bounder holds the sums over the served stops.
type bounder struct {
	p           *Problem
	groups      []boundGroup
	work, setUp int64
	trips       int64
	day, fixed  int64 // longest day, least fixed seconds
}

type boundGroup struct {
	place int
	work  int64 // service and one set-up
}

func newBounder(p *Problem, served []bool) *bounder {
	b := &bounder{p: p, fixed: late}
	index := map[int]int{}
	setUps := []int{}
	demand, capacity := int64(0), int64(1)
	for i := range p.Stops {
		if !served[i] {
			continue
		}
		s := &p.Stops[i]
		g, ok := index[s.Group]
		if !ok {
			g = len(b.groups)
			index[s.Group] = g
			b.groups = append(b.groups, boundGroup{place: s.Place})
			setUps = append(setUps, 0)
		}
		b.groups[g].work += int64(s.Service)
		b.work += int64(s.Service)
		setUps[g] = max(setUps[g], s.SetUp)
		demand += int64(s.Demand)
	}
	for g, s := range setUps {
		b.groups[g].work += int64(s)
		b.setUp += int64(s)
	}
	for _, v := range p.Vehicles {
		b.day = max(b.day, int64(v.Productive))
		b.fixed = min(b.fixed, int64(v.Fixed))
		capacity = max(capacity, int64(v.Capacity))
	}
	if len(p.Dumps) > 0 {
		b.trips = (demand + capacity - 1) / capacity
	}
	return b
}

// arcs sums the shortest arcs into every group and dump trip, and gives the
// shortest into a vehicle's end; or those out of them and of a vehicle's start.
// Dumping itself is included.
func (b *bounder) arcs(out bool) (sum, toEnd int64) {
	p := b.p
	travel := func(from, to int) int {
		if out {
			from, to = to, from
		}
		best := late
		for _, t := range p.Travel {
			best = min(best, t.Seconds(from, to))
		}
		return best
	}
	var depots, ends []int
	seen := map[int]bool{}
	for _, v := range p.Vehicles {
		from, to := v.Start, v.End
		if out {
			from, to = to, from
		}
		if !seen[from] {
			seen[from] = true
			depots = append(depots, from)
		}
		ends = append(ends, to)
	}
	toEnd = late
	toDump := late
	for g := range b.groups {
		least := late
		here := b.groups[g].place
		for _, d := range depots {
			least = min(least, travel(d, here))
		}
		for _, d := range p.Dumps {
			least = min(least, travel(d.Place, here))
			toDump = min(toDump, travel(here, d.Place)+d.Seconds)
		}
		for h := range b.groups {
			if h != g {
				least = min(least, travel(b.groups[h].place, here))
			}
		}
		sum += int64(least)
	}
	last := map[int]bool{}
	for _, e := range ends {
		if last[e] {
			continue
		}
		last[e] = true
		for g := range b.groups {
			toEnd = min(toEnd, int64(travel(b.groups[g].place, e)))
		}
		for _, d := range p.Dumps {
			toEnd = min(toEnd, int64(travel(d.Place, e)))
		}
	}
	if b.trips > 0 {
		// Out of a dump the next place may also be a vehicle's end.
		if out {
			for _, d := range p.Dumps {
				for _, v := range p.Vehicles {
					toDump = min(toDump, travel(v.End, d.Place)+d.Seconds)
				}
			}
		}
		sum += b.trips * int64(toDump)
	}
	return sum, toEnd
}

// radial spreads the way there and back over the work of a day and adds the
// dumping. It is 0 where travel breaks the triangle inequality.
func (b *bounder) radial() int64 {
	if !b.p.Metric {
		return 0
	}
	sum := 0.0
	for _, g := range b.groups {
		there := late
		for _, v := range b.p.Vehicles {
			t := b.p.Travel[v.Profile]
			there = min(there, t.Seconds(v.Start, g.place)+t.Seconds(g.place, v.End))
		}
		sum += float64(there) * float64(g.work) / float64(max(b.day, 1))
	}
	return b.dumping() + int64(sum*(1-1e-9))
}

// dumping is the least time at the dumps.
func (b *bounder) dumping() int64 {
	if b.trips == 0 {
		return 0
	}
	least := late
	for _, d := range b.p.Dumps {
		least = min(least, d.Seconds)
	}
	return b.trips * int64(least)
}
