package route

import "slices"

// causes names, for each stop left out, the constraint that stops it.
func (s *state) causes() []Unserved {
	var out []Unserved
	for _, a := range s.out {
		u := s.cause(&s.m.atoms[a], a)
		u.Stop = int(s.m.atoms[a].stops[0])
		out = append(out, u)
	}
	slices.SortFunc(out, func(a, b Unserved) int { return a.Stop - b.Stop })
	return out
}

// cause goes from what no schedule can change to what this one leaves no room
// for.
func (s *state) cause(a *atom, index int32) Unserved {
	m := s.m
	vehicles := m.p.Vehicles
	if len(vehicles) == 0 {
		return Unserved{Cause: NoVehicle}
	}
	if a.stuck {
		return Unserved{Cause: NoDump}
	}
	skilled, allowed, capacity := false, []int(nil), 0
	for v := range vehicles {
		skilled = skilled || a.skills&^vehicles[v].Skills == 0
		if m.may(v, a) {
			allowed = append(allowed, v)
			capacity = max(capacity, vehicles[v].Capacity)
		}
	}
	switch {
	case !skilled:
		return Unserved{Cause: NoSkill}
	case len(allowed) == 0 && a.lock != 0:
		return Unserved{Cause: Locked}
	case len(allowed) == 0:
		return Unserved{Cause: NoDay}
	case a.demand > capacity:
		return Unserved{Cause: TooMuch, Over: a.demand - capacity}
	}
	over, closed := s.overAlone(a, index, allowed)
	switch {
	case over >= Unreachable/2:
		return Unserved{Cause: NoRoute}
	case closed:
		return Unserved{Cause: Closed}
	case over > 0:
		return Unserved{Cause: TooLong, Over: over}
	}
	if over = s.overWithOthers(index, allowed); over >= late/2 {
		return Unserved{Cause: Closed}
	}
	return Unserved{Cause: NoTimeLeft, Over: max(1, over)}
}

// overAlone is by how many seconds the stop alone exceeds the day of the
// vehicle that is best for it, and whether only its time window keeps all of
// them from it.
func (s *state) overAlone(a *atom, index int32, allowed []int) (over int, closed bool) {
	over = late
	s.e.slack = late / 4
	defer func() { s.e.slack = 0 }()
	window := a.close
	for _, windowed := range []bool{true, false} {
		if !windowed {
			a.close = 0
		}
		for _, v := range allowed {
			x := &s.m.p.Vehicles[v]
			if a.demand > x.Capacity {
				continue
			}
			if finish, ok := s.e.finish(v, []int32{index}); ok {
				over = min(over, finish-x.Open-x.Productive)
			}
		}
		a.close = window
		if over < late {
			return over, !windowed
		}
		if window == 0 {
			break
		}
	}
	return over, false
}

// overWithOthers is by how many seconds the cheapest insertion into any day
// exceeds it.
func (s *state) overWithOthers(index int32, allowed []int) int {
	over := late
	s.e.slack = late / 4
	defer func() { s.e.slack = 0 }()
	u := s.m.unit([]int32{index})
	for _, v := range allowed {
		s.spots = s.spots[:0]
		s.guess(v, &u, nil)
		for _, sp := range s.spots {
			if finish, _, ok := s.try(u, sp.v, sp.p); ok {
				x := &s.m.p.Vehicles[v]
				over = min(over, finish-x.Open-x.Productive)
			}
		}
	}
	return over
}
