package route

// A route is a sequence of atoms; where the truck is emptied is decided here.
// The truck must be empty when its day ends, so the sequence falls into legs,
// each ended by a dump that takes everything on the leg. The earliest time at
// which the truck stands empty at dump d after atom j is found for each (j, d)
// in order of j: try every leg that ends there. Leaving earlier is never worse
// (travel does not depend on the clock), so the result is the best choice of
// trips for the sequence. It is the Split of Prins (2004) with a clock.
//
// Going to a dump ends the stay at a group: coming back pays its set-up again.

// evaluator holds the workspace of one goroutine.
type evaluator struct {
	m      *model
	empty  []int   // [j*dumps+d] earliest time at d, empty, after j atoms
	parent []int32 // state before the leg: state number, or -1 for the start
	final  int32   // state after which the last leg runs to the end place
	slack  int     // seconds by which a day may be exceeded, to measure by how much it is
}

const late = 1 << 50

// finish returns when the vehicle is back after the atoms in order, and whether
// that keeps every constraint of time and load. Skills, days and locks are the
// caller's.
func (e *evaluator) finish(v int, seq []int32) (int, bool) {
	m := e.m
	x := &m.p.Vehicles[v]
	n, dumps := len(seq), len(m.p.Dumps)
	latest := x.Open + x.Productive + e.slack
	size := (n + 1) * dumps
	if cap(e.empty) < size {
		e.empty = make([]int, 2*size)
		e.parent = make([]int32, 2*size)
	}
	e.empty, e.parent = e.empty[:size], e.parent[:size]
	for i := range e.empty {
		e.empty[i] = late
	}
	best := late
	e.final = -1
	best = e.leg(x, seq, 0, int32(x.Start), x.Open, -1, latest, best)
	for j := 1; j < n; j++ {
		for d := range dumps {
			if t := e.empty[j*dumps+d]; t < best && t <= latest {
				best = e.leg(x, seq, j, int32(m.p.Dumps[d].Place), t, int32(j*dumps+d), latest, best)
			}
		}
	}
	for d := range dumps {
		if t := e.empty[n*dumps+d]; t < best {
			if back := t + m.travel(int32(x.Profile), int32(m.p.Dumps[d].Place), int32(x.End)); back < best {
				best, e.final = back, int32(n*dumps+d)
			}
		}
	}
	return best, best <= latest
}

// leg runs from state from, with an empty truck at place and time t, over the
// atoms from index j on and notes every state that it reaches. It returns the
// best time of return so far.
func (e *evaluator) leg(x *Vehicle, seq []int32, j int, place int32, t int, from int32, latest, best int) int {
	m := e.m
	profile := int32(x.Profile)
	dumps := len(m.p.Dumps)
	load, mask := 0, m.allDump
	group, pos, setUp := int32(-1), 0, 0
	for ; j < len(seq); j++ {
		a := &m.atoms[seq[j]]
		if a.group == group {
			t += walk(pos, a.first)
		} else {
			t += m.travel(profile, place, a.place)
			group, setUp = a.group, 0
		}
		t = max(t, a.open)
		if a.close > 0 && t > a.close {
			return best
		}
		if a.setUp > setUp {
			t += a.setUp - setUp
			setUp = a.setUp
		}
		t += a.work
		load += a.demand
		if a.demand > 0 {
			mask &= a.dumps
		}
		if t > latest || load > x.Capacity || load > 0 && mask == 0 && dumps > 0 {
			return best
		}
		place, pos = a.place, a.last
		if load > 0 {
			for d := range dumps {
				if mask&(1<<d) == 0 {
					continue
				}
				at := t + m.travel(profile, place, int32(m.p.Dumps[d].Place)) + m.p.Dumps[d].Seconds
				if k := (j+1)*dumps + d; at < e.empty[k] {
					e.empty[k], e.parent[k] = at, from
				}
			}
		}
	}
	if load == 0 || dumps == 0 {
		if back := t + m.travel(profile, place, int32(x.End)); back < best {
			best, e.final = back, from
		}
	}
	return best
}

// trips lists after how many atoms the truck goes to which dump, in order, for
// the sequence that finish was last called with.
func (e *evaluator) trips() (after, dump []int) {
	dumps := len(e.m.p.Dumps)
	for k := e.final; k >= 0; k = e.parent[k] {
		after = append(after, int(k)/dumps)
		dump = append(dump, int(k)%dumps)
	}
	for i, j := 0, len(after)-1; i < j; i, j = i+1, j-1 {
		after[i], after[j] = after[j], after[i]
		dump[i], dump[j] = dump[j], dump[i]
	}
	return after, dump
}
