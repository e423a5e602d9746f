package route

import (
	"math/rand/v2"
	"slices"
)

// One round of ruin and recreate after Christiaens and Vanden Berghe, "Slack
// Induction by String Removals" (2020): strings of adjacent atoms are cut out of
// the routes around a seed, then put back greedily in one of four orders, with
// blinks. Here the pieces of one group go back together where that fits, because
// parting them pays a second set-up.

// Strings: on average meanRemoved atoms are cut out, at most maxString from one
// route.
const (
	meanRemoved = 10
	maxString   = 10
)

// search improves a state round by round and can take a round back.
type search struct {
	s       *state
	r       *rand.Rand
	removed []int32
	tried   []int32 // atoms to put in: the removed and some that were left out before
	touched []int32 // vehicles whose routes changed in this round
	saved   []saved
	stamp   []int32
	round   int32
}

// saved is a vehicle's day before the round.
type saved struct {
	route   []int32
	elapsed int
	load    int
	cost    int64
}

func newSearch(s *state, seed int64) *search {
	c := &search{
		s: s, r: rand.New(rand.NewPCG(uint64(seed), 0x9e3779b97f4a7c15)),
		stamp: make([]int32, len(s.route)),
		saved: make([]saved, len(s.route)),
	}
	s.before = c.touch
	return c
}

// touch saves a vehicle's day before its first change in the round.
func (c *search) touch(v int) {
	if c.stamp[v] == c.round {
		return
	}
	c.stamp[v] = c.round
	c.touched = append(c.touched, int32(v))
	b := &c.saved[v]
	b.route = append(b.route[:0], c.s.route[v]...)
	b.elapsed, b.load, b.cost = c.s.elapsed[v], c.s.load[v], c.s.cost[v]
}

// undo takes the round back.
func (c *search) undo() {
	s := c.s
	for _, v := range c.touched {
		for _, a := range s.route[v] {
			s.drop(a)
		}
		s.total -= s.cost[v]
		s.route[v] = s.route[v][:0]
	}
	for _, v := range c.touched {
		b := &c.saved[v]
		for _, a := range b.route {
			s.take(a)
			s.at[a] = v
		}
		s.route[v] = append(s.route[v], b.route...)
		s.elapsed[v], s.load[v], s.cost[v] = b.elapsed, b.load, b.cost
		s.total += b.cost
	}
}

// ruin cuts strings out around a random atom.
func (c *search) ruin() {
	s := c.s
	c.round++
	c.touched, c.removed, c.tried = c.touched[:0], c.removed[:0], c.tried[:0]
	used, placed := 0, 0
	for v := range s.route {
		if len(s.route[v]) > 0 {
			used++
			placed += len(s.route[v])
		}
	}
	if used == 0 {
		return
	}
	longest := min(maxString, float64(placed)/float64(used))
	strings := int(1 + c.r.Float64()*(4*meanRemoved/(1+longest)-1))
	seed := int32(c.r.IntN(len(s.at)))
	c.cut(seed, longest)
	for _, a := range s.m.near[seed] {
		if len(c.touched) >= strings {
			break
		}
		c.cut(a, longest)
	}
	for _, v := range c.touched {
		finish, ok := 0, true
		if len(s.route[v]) > 0 {
			finish, ok = s.e.finish(int(v), s.route[v])
		}
		if !ok { // possible only where travel breaks the triangle inequality
			for _, a := range s.route[v] {
				c.removed = append(c.removed, a)
				s.drop(a)
			}
			s.route[v] = s.route[v][:0]
		}
		s.set(int(v), s.route[v], finish)
	}
	c.tried = append(c.tried, c.removed...)
	c.addLeftOut(seed)
}

// cut removes a string that holds atom a from its route, unless the route was
// cut before in this round. With probability one half a stretch inside the
// string stays.
func (c *search) cut(a int32, longest float64) {
	s := c.s
	v := s.at[a]
	if v < 0 || c.stamp[v] == c.round {
		return
	}
	route := s.route[v]
	n := int(1 + c.r.Float64()*min(float64(len(route)), longest))
	n = min(n, len(route))
	keep := 0
	if n > 1 && n < len(route) && c.r.IntN(2) == 0 {
		for keep = 1; n+keep < len(route) && c.r.Float64() > 0.01 && keep < len(route)/2; keep++ {
			if c.r.Float64() < 0.5 {
				break
			}
		}
	}
	span := min(n+keep, len(route))
	i := slices.Index(route, a)
	lo := max(0, i-span+1)
	hi := min(i, len(route)-span)
	start := lo + c.r.IntN(hi-lo+1)
	keepFrom := start + 1 + c.r.IntN(max(1, n))
	c.touch(int(v))
	kept := s.route[v][:0]
	for k, b := range c.saved[v].route {
		inString := k >= start && k < start+span
		inKept := keep > 0 && k >= keepFrom && k < keepFrom+keep
		if !inString || inKept || s.m.atoms[b].lock != 0 {
			kept = append(kept, b)
			continue
		}
		c.removed = append(c.removed, b)
		s.drop(b)
	}
	s.route[v] = kept
}

// addLeftOut adds some atoms that no vehicle makes: those near the seed and one
// from anywhere.
func (c *search) addLeftOut(seed int32) {
	s := c.s
	if len(s.out) == len(c.removed) {
		return
	}
	add := func(a int32) {
		if s.at[a] < 0 && !slices.Contains(c.tried, a) {
			c.tried = append(c.tried, a)
		}
	}
	limit := len(c.tried) + meanRemoved/2
	for _, a := range s.m.near[seed] {
		if len(c.tried) >= limit {
			break
		}
		add(a)
	}
	add(s.out[c.r.IntN(len(s.out))])
}

// recreate puts the tried atoms back, group by group, in a random order of four
// kinds.
func (c *search) recreate() {
	s := c.s
	m := s.m
	slices.SortFunc(c.tried, func(a, b int32) int { return int(a - b) }) // atoms are numbered along groups
	var units []unit
	for i := 0; i < len(c.tried); {
		j := i + 1
		for j < len(c.tried) && m.atoms[c.tried[j]].group == m.atoms[c.tried[i]].group {
			j++
		}
		units = append(units, m.unit(c.tried[i:j]))
		i = j
	}
	c.r.Shuffle(len(units), func(i, j int) { units[i], units[j] = units[j], units[i] })
	switch k := c.r.IntN(11); {
	case k < 4: // random
	case k < 8: // much work first
		slices.SortStableFunc(units, func(a, b unit) int { return b.work + b.setUp - a.work - a.setUp })
	case k < 10: // high prize first
		slices.SortStableFunc(units, func(a, b unit) int {
			if a.prize == b.prize {
				return 0
			}
			return sign(b.prize - a.prize)
		})
	default: // far first
		x := &m.p.Vehicles[0]
		far := func(u unit) int { return m.travel(int32(x.Profile), int32(x.Start), u.place) }
		slices.SortStableFunc(units, func(a, b unit) int { return far(b) - far(a) })
	}
	for _, u := range units {
		if s.insert(u, c.r) || len(u.atoms) == 1 {
			continue
		}
		for i := range u.atoms {
			s.insert(m.unit(u.atoms[i:i+1]), c.r)
		}
	}
}
