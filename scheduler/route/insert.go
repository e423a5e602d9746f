package route

import (
	"math/rand/v2"
	"slices"
)

// unit is what is inserted at once: one atom, or several of one group in order
// along it.
type unit struct {
	atoms       []int32
	place       int32
	group       int32
	first, last int
	work        int
	setUp       int
	demand      int
	prize       int64
	delay       int64
}

func (m *model) unit(atoms []int32) unit {
	a := &m.atoms[atoms[0]]
	u := unit{atoms: atoms, place: a.place, group: a.group, first: a.first, last: a.first}
	for _, i := range atoms {
		a := &m.atoms[i]
		u.work += walk(u.last, a.first) + a.work
		u.last = a.last
		u.setUp = max(u.setUp, a.setUp)
		u.demand += a.demand
		u.prize += a.prize
		u.delay += a.delay
	}
	return u
}

// spot is a place for a unit: before index p of vehicle v's sequence.
type spot struct {
	v, p  int
	guess int64 // added cost if no dump trip moves
}

// exactTries is the number of spots, best guess first, that are worked out in
// full for one unit.
const exactTries = 8

// blink is the chance with which a spot is passed over, so that the greedy
// choice varies (Christiaens and Vanden Berghe 2020).
const blink = 0.01

// insert puts the unit where it adds least, by guess and then exactly, into
// vehicles that already work near it or stand empty; failing that, into any. It
// reports whether it found a place. With r nil nothing is passed over.
func (s *state) insert(u unit, r *rand.Rand) bool {
	s.spots = s.spots[:0]
	s.round++
	for _, b := range s.m.near[u.atoms[0]] {
		if v := s.at[b]; v >= 0 && s.fresh(int(v)) {
			s.guess(int(v), &u, r)
		}
	}
	for v := range s.route {
		if len(s.route[v]) == 0 && s.fresh(len(s.route)+int(s.m.kind[v])) {
			s.guess(v, &u, r)
		}
	}
	if s.tryBest(u) {
		return true
	}
	s.spots = s.spots[:0]
	for v := range s.route {
		if len(s.route[v]) > 0 && s.fresh(v) {
			s.guess(v, &u, r)
		}
	}
	return s.tryBest(u)
}

// fresh reports whether k has not been looked at in this round.
func (s *state) fresh(k int) bool {
	if s.stamp[k] == s.round {
		return false
	}
	s.stamp[k] = s.round
	return true
}

// guess adds the two best spots of the vehicle for the unit, unless it can be
// seen that the day is too short.
func (s *state) guess(v int, u *unit, r *rand.Rand) {
	m := s.m
	for _, a := range u.atoms {
		if !m.may(v, &m.atoms[a]) {
			return
		}
	}
	x := &m.p.Vehicles[v]
	if s.elapsed[v]+u.work > x.Productive+s.e.slack {
		return
	}
	profile := int32(x.Profile)
	base := u.delay * int64(x.Day)
	if len(s.route[v]) == 0 {
		base += int64(x.Fixed)
	}
	base += s.tripGuess(v, u.demand)
	first, second := spot{guess: late}, spot{guess: late}
	place, group, last, setUp := int32(x.Start), int32(-1), 0, 0
	for p := 0; p <= len(s.route[v]); p++ {
		var next *atom
		nextPlace, nextGroup := int32(x.End), int32(-2)
		if p < len(s.route[v]) {
			next = &m.atoms[s.route[v][p]]
			nextPlace, nextGroup = next.place, next.group
		}
		add := u.work
		if group == u.group {
			add += walk(last, u.first) + max(0, u.setUp-setUp)
		} else {
			add += m.travel(profile, place, u.place) + u.setUp
		}
		if nextGroup == u.group {
			add += walk(u.last, next.first)
			if group != u.group {
				add += max(u.setUp, next.setUp) - next.setUp - u.setUp
			}
		} else {
			add += m.travel(profile, u.place, nextPlace)
		}
		switch {
		case group != nextGroup:
			add -= m.travel(profile, place, nextPlace)
		case group == u.group:
			add -= walk(last, next.first)
		default:
			add += next.setUp - walk(last, next.first) // parts a group that was whole
		}
		if s.elapsed[v]+add > x.Productive+s.e.slack {
			// No room, unless a dump trip moved: not worth working out.
		} else if c := base + int64(add); c < second.guess && (r == nil || r.Float64() >= blink) {
			if second = (spot{v, p, c}); c < first.guess {
				first, second = second, first
			}
		}
		if next != nil {
			if next.group != group {
				setUp = 0
			}
			place, group, last, setUp = next.place, next.group, next.last, max(setUp, next.setUp)
		}
	}
	for _, sp := range []spot{first, second} {
		if sp.guess < late {
			s.spots = append(s.spots, sp)
		}
	}
}

// tripGuess is the cost of the dump trips that more load brings, at least.
func (s *state) tripGuess(v, demand int) int64 {
	dumps := s.m.p.Dumps
	if demand == 0 || len(dumps) == 0 {
		return 0
	}
	c := max(1, s.m.p.Vehicles[v].Capacity)
	more := (s.load[v]+demand+c-1)/c - (s.load[v]+c-1)/c
	return int64(more) * int64(dumps[0].Seconds)
}

// tryBest works out the most promising spots and takes the cheapest that is
// feasible.
func (s *state) tryBest(u unit) bool {
	slices.SortFunc(s.spots, func(a, b spot) int {
		switch {
		case a.guess != b.guess:
			return sign(a.guess - b.guess)
		case a.v != b.v:
			return a.v - b.v
		}
		return a.p - b.p
	})
	best, bestFinish, bestAdd := -1, 0, int64(late)
	tries := 0
	for i, sp := range s.spots {
		if sp.guess >= bestAdd || tries >= exactTries && best >= 0 {
			break
		}
		tries++
		if finish, add, ok := s.try(u, sp.v, sp.p); ok && add < bestAdd {
			best, bestFinish, bestAdd = i, finish, add
		}
	}
	if best < 0 {
		return false
	}
	s.put(u, s.spots[best].v, s.spots[best].p, bestFinish)
	return true
}

// try works out what the unit adds before index p of vehicle v.
func (s *state) try(u unit, v, p int) (finish int, add int64, ok bool) {
	s.seq = append(append(append(s.seq[:0], s.route[v][:p]...), u.atoms...), s.route[v][p:]...)
	finish, ok = s.e.finish(v, s.seq)
	if !ok {
		return 0, 0, false
	}
	add = int64(finish-s.m.p.Vehicles[v].Open-s.elapsed[v]) + u.delay*int64(s.m.p.Vehicles[v].Day)
	if len(s.route[v]) == 0 {
		add += int64(s.m.p.Vehicles[v].Fixed)
	}
	return finish, add, true
}

// put makes the insertion.
func (s *state) put(u unit, v, p, finish int) {
	if s.before != nil {
		s.before(v)
	}
	s.seq = append(append(append(s.seq[:0], s.route[v][:p]...), u.atoms...), s.route[v][p:]...)
	for _, a := range u.atoms {
		s.take(a)
	}
	s.set(v, s.seq, finish)
}

func sign(d int64) int {
	if d < 0 {
		return -1
	}
	return 1
}
