package route

// exhaustive tries every assignment, order and choice of dump trips and returns
// the least total cost (prizes of what is left out included), and the least paid
// seconds of a plan that makes everything, -1 when there is none.
func exhaustive(p *Problem) (total, paid int64) {
	e := &enumeration{p: p, done: make([]bool, len(p.Stops)), total: 1 << 62, paid: -1}
	e.vehicle(0, 0, 0, 0)
	return e.total, e.paid
}

type enumeration struct {
	p           *Problem
	done        []bool
	total, paid int64
}

// vehicle starts the day of vehicle v, or closes the books after the last one.
func (e *enumeration) vehicle(v, made int, paid, delay int64) {
	if v == len(e.p.Vehicles) {
		missed := int64(0)
		for i, d := range e.done {
			if !d {
				missed += e.p.Stops[i].Prize
			}
		}
		e.total = min(e.total, paid+delay+missed)
		if made == len(e.done) && (e.paid < 0 || paid < e.paid) {
			e.paid = paid
		}
		return
	}
	e.vehicle(v+1, made, paid, delay)
	x := e.p.Vehicles[v]
	e.step(v, made, paid+int64(x.Fixed), delay, day{t: x.Open, place: x.Start, prev: -1, mask: ^uint64(0)})
}

// day is how far one vehicle has come.
type day struct {
	t, place, prev, setUp, load, stops int
	mask                               uint64
}

func (e *enumeration) step(v, made int, paid, delay int64, d day) {
	x := e.p.Vehicles[v]
	travel := e.p.Travel[x.Profile]
	if d.t > x.Open+x.Productive {
		return
	}
	if d.stops > 0 && (d.load == 0 || len(e.p.Dumps) == 0) {
		if back := d.t + travel.Seconds(d.place, x.End); back <= x.Open+x.Productive {
			e.vehicle(v+1, made, paid+int64(back-x.Open), delay)
		}
	}
	if d.load > 0 {
		for k, u := range e.p.Dumps {
			if d.mask>>k&1 == 1 {
				n := d
				n.t += travel.Seconds(d.place, u.Place) + u.Seconds
				n.place, n.prev, n.load, n.mask = u.Place, -1, 0, ^uint64(0)
				e.step(v, made, paid, delay, n)
			}
		}
	}
	for i, s := range e.p.Stops {
		if e.done[i] || s.Skills&^x.Skills != 0 || s.Days != 0 && s.Days>>x.Day&1 == 0 || s.Lock != 0 && s.Lock != v+1 {
			continue
		}
		n := d
		if d.prev >= 0 && e.p.Stops[d.prev].Group == s.Group {
			n.t += max(s.Pos-e.p.Stops[d.prev].Pos, e.p.Stops[d.prev].Pos-s.Pos)
		} else {
			n.t += travel.Seconds(d.place, s.Place)
			n.setUp = 0
		}
		n.t = max(n.t, s.Open)
		if s.Close > 0 && n.t > s.Close {
			continue
		}
		n.t += max(0, s.SetUp-n.setUp) + s.Service
		n.setUp = max(n.setUp, s.SetUp)
		n.load += s.Demand
		if s.Demand > 0 && s.Dumps != 0 {
			n.mask &= s.Dumps
		}
		if n.load > x.Capacity {
			continue
		}
		n.place, n.prev = s.Place, i
		n.stops++
		e.done[i] = true
		e.step(v, made+1, paid, delay+s.Delay*int64(x.Day), n)
		e.done[i] = false
	}
}
