package route

import "slices"

// The search moves atoms, not stops: runs of stops of one group, in order along
// it, that any vehicle would make in one go. An atom is cut where the skills,
// days, dumps or the lock differ, where a stop has a time window of its own, and
// where it would fill a truck or half a day. Two atoms of one group that stand
// side by side in a route pay one set-up and walk between, so a group that was
// cut costs nothing extra unless it is parted.
//
// The same model with one atom for each stop serves the last, exact pass.

type atom struct {
	stops       []int32
	place       int32
	group       int32
	first, last int // positions of its ends along the group
	work        int // service and walking inside
	setUp       int
	demand      int
	skills      uint32
	days        uint64
	dumps       uint64
	open, close int
	prize       int64
	delay       int64
	lock        int32
	stuck       bool // no dump takes its load
}

type model struct {
	p       *Problem
	atoms   []atom
	group   [][]int32 // atoms of each group, in order along it
	near    [][]int32 // the nearest other atoms, nearest first
	dense   [][]int32 // travel by profile when the places are few
	places  int
	kind    []int32 // vehicles that are alike have one kind
	allDump uint64
}

// densePlaces is the number of places up to which travel is copied to a table.
const densePlaces = 4096

func newModel(p *Problem) *model {
	m := &model{p: p, places: p.Places, allDump: 1<<len(p.Dumps) - 1}
	if len(p.Dumps) == 64 {
		m.allDump = ^uint64(0)
	}
	m.dense = make([][]int32, len(p.Travel))
	for k, t := range p.Travel {
		if x, ok := t.(Matrix); ok && x.N == p.Places {
			m.dense[k] = x.Sec
		} else if p.Places <= densePlaces {
			m.dense[k] = make([]int32, p.Places*p.Places)
			for i := range p.Places {
				for j := range p.Places {
					m.dense[k][i*p.Places+j] = int32(min(t.Seconds(i, j), Unreachable))
				}
			}
		}
	}
	m.kinds()
	return m
}

// kinds numbers vehicles so that two of one kind are interchangeable while
// empty.
func (m *model) kinds() {
	seen := map[Vehicle]int32{}
	locked := map[int]bool{}
	for _, s := range m.p.Stops {
		if s.Lock > 0 {
			locked[s.Lock-1] = true
		}
	}
	m.kind = make([]int32, len(m.p.Vehicles))
	next := int32(0)
	for i, v := range m.p.Vehicles {
		k, ok := seen[v]
		if !ok || locked[i] {
			k = next
			next++
			if !locked[i] {
				seen[v] = k
			}
		}
		m.kind[i] = k
	}
}

func (m *model) travel(profile, from, to int32) int {
	if d := m.dense[profile]; d != nil {
		return int(d[int(from)*m.places+int(to)])
	}
	return m.p.Travel[profile].Seconds(int(from), int(to))
}

// cut makes the atoms: one for each stop, or runs as described above.
func (m *model) cut(single bool) {
	p := m.p
	order := make([]int32, len(p.Stops))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(a, b int32) int {
		x, y := &p.Stops[a], &p.Stops[b]
		if x.Group != y.Group {
			return x.Group - y.Group
		}
		return x.Pos - y.Pos
	})
	day, capacity := 0, 0
	for _, v := range p.Vehicles {
		day, capacity = max(day, v.Productive), max(capacity, v.Capacity)
	}
	number := int32(-1)
	var open []int32 // atoms of the present group that may still grow
	for k, i := range order {
		s := &p.Stops[i]
		if k == 0 || p.Stops[order[k-1]].Group != s.Group {
			number++
			open = open[:0]
			m.group = append(m.group, nil)
		}
		grown := false
		if !single && s.Close == 0 && s.Open == 0 {
			for _, a := range open {
				if grown = m.grow(&m.atoms[a], i, s, day/2, capacity); grown {
					break
				}
			}
		}
		if grown {
			continue
		}
		a := int32(len(m.atoms))
		dumps, stuck := m.dumpsOf(s)
		m.atoms = append(m.atoms, atom{
			stops: []int32{i}, place: int32(s.Place), group: number, first: s.Pos, last: s.Pos,
			work: s.Service, setUp: s.SetUp, demand: s.Demand, skills: s.Skills, days: s.Days, dumps: dumps,
			open: s.Open, close: s.Close, prize: s.Prize, delay: s.Delay, lock: int32(s.Lock), stuck: stuck,
		})
		m.group[number] = append(m.group[number], a)
		open = append(open, a)
	}
}

// dumpsOf is the set of dumps that take the stop's load, and whether it is
// empty. A stop without a load accepts every dump.
func (m *model) dumpsOf(s *Stop) (mask uint64, stuck bool) {
	if s.Demand == 0 || s.Dumps == 0 {
		return m.allDump, false
	}
	mask = s.Dumps & m.allDump
	return mask, mask == 0
}

// grow adds a stop to the atom if both may always be made together.
func (m *model) grow(a *atom, i int32, s *Stop, day, capacity int) bool {
	if a.skills != s.Skills || a.days != s.Days || a.lock != int32(s.Lock) || a.open != 0 || a.close != 0 {
		return false
	}
	dumps, stuck := m.dumpsOf(s)
	if a.stuck || stuck || dumps != a.dumps && a.demand > 0 && s.Demand > 0 {
		return false
	}
	work := a.work + s.Service + s.Pos - a.last
	if work+max(a.setUp, s.SetUp) > day || a.demand+s.Demand > capacity {
		return false
	}
	if s.Demand > 0 {
		a.dumps = dumps
	}
	a.stops = append(a.stops, i)
	a.work, a.last, a.demand = work, s.Pos, a.demand+s.Demand
	a.setUp = max(a.setUp, s.SetUp)
	a.prize += s.Prize
	a.delay += s.Delay
	return true
}

// may reports whether the vehicle may make the atom at all.
func (m *model) may(v int, a *atom) bool {
	x := &m.p.Vehicles[v]
	if a.stuck || a.lock != 0 && int(a.lock) != v+1 {
		return false
	}
	return a.skills&^x.Skills == 0 && (a.days == 0 || a.days&(1<<x.Day) != 0)
}

// walk is the time between two positions along a group.
func walk(from, to int) int {
	if from > to {
		return from - to
	}
	return to - from
}
