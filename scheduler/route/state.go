package route

// state is a plan under construction or under search: a sequence of atoms for
// each vehicle.
type state struct {
	m       *model
	e       evaluator
	route   [][]int32
	elapsed []int   // seconds from Open until the vehicle is back
	load    []int   // litres
	cost    []int64 // what the vehicle's day costs, fixed seconds and delays included
	at      []int32 // vehicle of each atom, -1 for none
	out     []int32 // atoms that no vehicle makes, in no order
	outAt   []int32 // index of each atom in out, -1
	total   int64   // costs and the prizes of out

	before func(v int) // called before an insertion changes a vehicle, may be nil

	seq   []int32 // scratch: a sequence to be tried
	spots []spot  // scratch: places to try an insertion
	stamp []int32 // scratch: vehicles and kinds already looked at
	round int32
}

func newState(m *model) *state {
	s := &state{
		m: m, e: evaluator{m: m},
		route:   make([][]int32, len(m.p.Vehicles)),
		elapsed: make([]int, len(m.p.Vehicles)),
		load:    make([]int, len(m.p.Vehicles)),
		cost:    make([]int64, len(m.p.Vehicles)),
		at:      make([]int32, len(m.atoms)),
		outAt:   make([]int32, len(m.atoms)),
		stamp:   make([]int32, 2*len(m.p.Vehicles)),
	}
	for a := range m.atoms {
		s.at[a] = -1
		s.outAt[a] = int32(a)
		s.out = append(s.out, int32(a))
		s.total += m.atoms[a].prize
	}
	return s
}

// set gives the vehicle a new sequence, known to be feasible, and keeps every
// sum in step. Atoms that leave the vehicle must be put elsewhere or dropped by
// the caller.
func (s *state) set(v int, seq []int32, finish int) {
	s.route[v] = append(s.route[v][:0], seq...)
	s.total -= s.cost[v]
	s.elapsed[v], s.load[v], s.cost[v] = s.price(v, seq, finish)
	s.total += s.cost[v]
	for _, a := range seq {
		s.at[a] = int32(v)
	}
}

// price is what set stores: elapsed seconds, load and cost of a sequence.
func (s *state) price(v int, seq []int32, finish int) (elapsed, load int, cost int64) {
	if len(seq) == 0 {
		return 0, 0, 0
	}
	x := &s.m.p.Vehicles[v]
	elapsed = finish - x.Open
	cost = int64(elapsed + x.Fixed)
	for _, a := range seq {
		load += s.m.atoms[a].demand
		cost += s.m.atoms[a].delay * int64(x.Day)
	}
	return elapsed, load, cost
}

// drop takes note that no vehicle makes the atom.
func (s *state) drop(a int32) {
	s.at[a] = -1
	s.outAt[a] = int32(len(s.out))
	s.out = append(s.out, a)
	s.total += s.m.atoms[a].prize
}

// take takes the atom off the list of those that no vehicle makes.
func (s *state) take(a int32) {
	i, last := s.outAt[a], s.out[len(s.out)-1]
	s.out[i], s.outAt[last] = last, i
	s.out, s.outAt[a] = s.out[:len(s.out)-1], -1
	s.total -= s.m.atoms[a].prize
}

// copyFrom makes s the same plan as t, without sharing memory.
func (s *state) copyFrom(t *state) {
	for v := range s.route {
		s.route[v] = append(s.route[v][:0], t.route[v]...)
	}
	copy(s.elapsed, t.elapsed)
	copy(s.load, t.load)
	copy(s.cost, t.cost)
	copy(s.at, t.at)
	copy(s.outAt, t.outAt)
	s.out = append(s.out[:0], t.out...)
	s.total = t.total
}
