package route

import "slices"

// finishPlan takes the plan apart into single stops, puts the stops of one stay
// at a group in order along it where that helps, inserts every stop left out
// that some vehicle can still take, and writes the result.
func finishPlan(coarse *state) Result {
	m := newModel(coarse.m.p)
	m.cut(true)
	m.near = make([][]int32, len(m.atoms)) // the exact pass looks everywhere
	s := newState(m)
	atomOf := make([]int32, len(m.atoms))
	for a := range m.atoms {
		atomOf[m.atoms[a].stops[0]] = int32(a)
	}
	for v, route := range coarse.route {
		var seq []int32
		for _, a := range route {
			for _, i := range coarse.m.atoms[a].stops {
				seq = append(seq, atomOf[i])
			}
		}
		if len(seq) == 0 {
			continue
		}
		finish, ok := s.e.finish(v, seq)
		if sorted := m.sortStays(seq); !slices.Equal(sorted, seq) {
			if f, fine := s.e.finish(v, sorted); fine && (f < finish || !ok) {
				seq, finish, ok = sorted, f, fine
			}
		}
		if !ok { // cannot happen: the same stops in the same order cost no more
			continue
		}
		for _, a := range seq {
			s.take(a)
		}
		s.set(v, seq, finish)
	}
	s.fill()
	return s.result()
}

// sortStays returns the sequence with each run of one group in order along it.
func (m *model) sortStays(seq []int32) []int32 {
	out := slices.Clone(seq)
	for i := 0; i < len(out); {
		j := i + 1
		for j < len(out) && m.atoms[out[j]].group == m.atoms[out[i]].group {
			j++
		}
		slices.SortStableFunc(out[i:j], func(a, b int32) int { return m.atoms[a].first - m.atoms[b].first })
		i = j
	}
	return out
}

// fill inserts what is left out, the highest prize first, at the cheapest exact
// place of any vehicle, until nothing more goes in.
func (s *state) fill() {
	for {
		todo := slices.Clone(s.out)
		slices.SortFunc(todo, func(a, b int32) int {
			if p, q := s.m.atoms[a].prize, s.m.atoms[b].prize; p != q {
				return sign(q - p)
			}
			return int(a - b)
		})
		before := len(s.out)
		for _, a := range todo {
			s.insertExact(s.m.unit([]int32{a}))
		}
		if len(s.out) == 0 || len(s.out) == before {
			return
		}
	}
}

// insertExact tries every vehicle at every place that parts no other group.
func (s *state) insertExact(u unit) {
	best, bestFinish, bestAdd := spot{v: -1}, 0, int64(late)
	s.round++
	a := &s.m.atoms[u.atoms[0]]
	for v, route := range s.route {
		if !s.m.may(v, a) || s.m.p.Metric && s.tooLong(v, a) {
			continue
		}
		if len(route) == 0 && !s.fresh(len(s.route)+int(s.m.kind[v])) {
			continue
		}
		for p := 0; p <= len(route); p++ {
			if p > 0 && p < len(route) {
				if g := s.m.atoms[route[p]].group; g == s.m.atoms[route[p-1]].group && g != a.group {
					continue
				}
			}
			if finish, add, ok := s.try(u, v, p); ok && add < bestAdd {
				best, bestFinish, bestAdd = spot{v: v, p: p}, finish, add
			}
		}
	}
	if best.v >= 0 {
		s.put(u, best.v, best.p, bestFinish)
	}
}

// tooLong reports whether the vehicle's day is certainly too short for one more
// atom: where travel keeps the triangle inequality, taking the atom out again
// would save its work, and its set-up if it were alone of its group.
func (s *state) tooLong(v int, a *atom) bool {
	least := s.elapsed[v] + a.work + a.setUp
	for _, b := range s.route[v] {
		if s.m.atoms[b].group == a.group {
			least -= a.setUp
			break
		}
	}
	return least > s.m.p.Vehicles[v].Productive
}

// result writes the plan, stop by stop.
func (s *state) result() Result {
	var r Result
	for v, seq := range s.route {
		if len(seq) > 0 {
			r.Routes = append(r.Routes, s.trace(v, seq, &r.Cost))
		}
	}
	for _, a := range s.out {
		r.Cost.Missed += s.m.atoms[a].prize
	}
	r.Unserved = s.causes()
	served := make([]bool, len(s.m.p.Stops))
	for i := range served {
		served[i] = true
	}
	for _, u := range r.Unserved {
		served[u.Stop] = false
	}
	r.Bound = Bound(s.m.p, served)
	return r
}

// trace writes one route with its times and adds to the cost.
func (s *state) trace(v int, seq []int32, cost *Cost) Route {
	m := s.m
	x := &m.p.Vehicles[v]
	s.e.finish(v, seq)
	after, dump := s.e.trips()
	r := Route{Vehicle: v}
	t, place, group, pos, setUp := x.Open, int32(x.Start), int32(-1), 0, 0
	trip := func(k int) {
		d := m.p.Dumps[dump[k]]
		drive := m.travel(int32(x.Profile), place, int32(d.Place))
		r.Steps = append(r.Steps, Step{Stop: -1, Dump: dump[k], Drive: drive, Arrive: t + drive, Work: d.Seconds})
		t += drive + d.Seconds
		place, group = int32(d.Place), -1
		cost.Drive += int64(drive)
		cost.Dump += int64(d.Seconds)
	}
	next := 0
	for j, i := range seq {
		a := &m.atoms[i]
		step := Step{Stop: int(a.stops[0]), Dump: -1, Work: a.work}
		if a.group == group {
			step.Drive = walk(pos, a.first)
		} else {
			step.Drive = m.travel(int32(x.Profile), place, a.place)
			group, setUp = a.group, 0
		}
		step.Arrive = t + step.Drive
		step.Wait = max(0, a.open-step.Arrive)
		step.SetUp = max(0, a.setUp-setUp)
		setUp = max(setUp, a.setUp)
		t = step.Arrive + step.Wait + step.SetUp + step.Work
		place, pos = a.place, a.last
		r.Steps = append(r.Steps, step)
		cost.Drive += int64(step.Drive)
		cost.Wait += int64(step.Wait)
		cost.SetUp += int64(step.SetUp)
		cost.Work += int64(step.Work)
		cost.Delay += a.delay * int64(x.Day)
		for next < len(after) && after[next] == j+1 {
			trip(next)
			next++
		}
	}
	r.Drive = m.travel(int32(x.Profile), place, int32(x.End))
	r.Finish = t + r.Drive
	cost.Drive += int64(r.Drive)
	cost.Fixed += int64(x.Fixed)
	return r
}
