package route

import (
	"context"
	"slices"
)

// construct builds the first plan by cheapest insertion, whole groups first:
// locked work before free work, high prizes before low ones, work that few
// vehicles may make before what any may, far groups before near ones. A group
// that fits nowhere as a whole is inserted atom by atom. It stops when ctx ends;
// the last pass takes what is left.
func (s *state) construct(ctx context.Context) {
	m := s.m
	type ranked struct {
		u      unit
		locked bool
		rank   int // power of two of the prize for each second of work
		may    int
		far    int
	}
	var todo []ranked
	for _, atoms := range m.group {
		u := m.unit(atoms)
		k := ranked{u: u}
		for v := range m.p.Vehicles {
			ok := true
			for _, a := range atoms {
				k.locked = k.locked || m.atoms[a].lock != 0
				ok = ok && m.may(v, &m.atoms[a])
			}
			if ok {
				k.may++
			}
			x := &m.p.Vehicles[v]
			k.far = max(k.far, m.travel(int32(x.Profile), int32(x.Start), u.place))
		}
		for p := u.prize / int64(u.work+1); p > 0; p >>= 3 {
			k.rank++
		}
		todo = append(todo, k)
	}
	slices.SortStableFunc(todo, func(a, b ranked) int {
		switch {
		case a.locked != b.locked:
			if a.locked {
				return -1
			}
			return 1
		case a.rank != b.rank:
			return b.rank - a.rank
		case a.may != b.may:
			return a.may - b.may
		}
		return b.far - a.far
	})
	for _, k := range todo {
		if ctx.Err() != nil {
			return
		}
		s.insertUnit(k.u)
	}
}

// insertUnit inserts the unit whole or, failing that, atom by atom.
func (s *state) insertUnit(u unit) {
	if s.insert(u, nil) || len(u.atoms) == 1 {
		return
	}
	for i := range u.atoms {
		s.insert(s.m.unit(u.atoms[i:i+1]), nil)
	}
}
