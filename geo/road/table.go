package road

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// Travel times come from the search of Dijkstra (1959), run over arcs (a block
// in one direction) and not over junctions, because turning back costs time: a
// truck that comes to a junction may go on in any direction for nothing, and
// back along the block it came from for UTurn seconds. One search for each
// origin ends as soon as it has settled every arc that leads to a destination.
//
// Side of the street: a truck stands on the stop's side and faces with the
// traffic, which keeps right. Leaving or arriving the other way costs a U-turn. A
// depot or a dump (NoSide) may be left and entered either way and costs half a
// turn each time, so that no way round by one of them is shorter than the direct
// way: the triangle inequality holds for every table.

// UTurn is the time in seconds to turn a truck in the street (common practice,
// from memory).
const UTurn = 30

// Unreachable stands in a table where no route leads from one stop to the other.
const Unreachable = int32(-1)

// Table returns the travel times in whole seconds, rounded up, from every
// position of from to every position of to, row by row, on all cores. It fails
// only when ctx ends.
func (g *Graph) Table(ctx context.Context, from, to []Position, t Truck) ([]int32, error) {
	ok := g.passable(t)
	wanted := make([]bool, len(g.arcs))
	count := 0
	for _, p := range to {
		for _, a := range g.blocks[p.block].arcs {
			if a != closed && !wanted[a] && (ok == nil || ok[p.block]) {
				wanted[a] = true
				count++
			}
		}
	}
	out := make([]int32, len(from)*len(to))
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(from)) {
		all.Go(func() {
			s := newSearch(len(g.arcs))
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= len(from) {
					return
				}
				g.row(s, from[i], to, wanted, count, ok, out[i*len(to):(i+1)*len(to)])
			}
		})
	}
	all.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return out, nil
}

// row fills in the times from one position.
func (g *Graph) row(s *search, p Position, to []Position, wanted []bool, count int, ok []bool, out []int32) {
	g.search(s, p, wanted, count, ok)
	for j, q := range to {
		out[j] = Unreachable
		if ms := min(g.along(p, q, ok), g.arrive(s, q)); ms < far {
			out[j] = (ms + 999) / 1000
		}
	}
}

// passable lists the blocks that the truck may use, nil when it may use all.
func (g *Graph) passable(t Truck) []bool {
	if !g.limited {
		return nil
	}
	ok := make([]bool, len(g.blocks))
	for i := range g.blocks {
		ok[i] = t.passes(g.blocks[i].maxHeight, g.blocks[i].maxKg)
	}
	return ok
}

// search settles arcs from position p until count wanted ones are done.
func (g *Graph) search(s *search, p Position, wanted []bool, count int, ok []bool) {
	s.reset()
	if ok != nil && !ok[p.block] {
		return
	}
	b := &g.blocks[p.block]
	if b.forward != closed {
		g.leave(s, b.b, p.block, share(b.forward, b.length-p.along, b.length)+b.turn(p.side, true), ok)
	}
	if b.backward != closed {
		g.leave(s, b.a, p.block, share(b.backward, p.along, b.length)+b.turn(p.side, false), ok)
	}
	for len(s.heap) > 0 && count > 0 {
		e := s.pop()
		if s.done[e.arc] {
			continue
		}
		s.done[e.arc] = true
		if wanted[e.arc] {
			count--
		}
		a := g.arcs[e.arc]
		g.leave(s, a.to, a.block, e.ms+a.ms, ok)
	}
}

// leave relaxes the arcs out of a junction that a truck reached over a block.
func (g *Graph) leave(s *search, junction, over, ms int32, ok []bool) {
	for i := g.first[junction]; i < g.first[junction+1]; i++ {
		block := g.arcs[i].block
		if s.done[i] || ok != nil && !ok[block] {
			continue
		}
		if block == over && g.blocks[block].a != g.blocks[block].b {
			s.reach(i, ms+UTurn*1000)
		} else {
			s.reach(i, ms)
		}
	}
}

// arrive is the time at which the search reaches q from outside its block, far
// when it does not.
func (g *Graph) arrive(s *search, q Position) int32 {
	b := &g.blocks[q.block]
	best := far
	if a := b.arcs[0]; a != closed && s.dist[a] < far {
		best = min(best, s.dist[a]+share(b.forward, q.along, b.length)+b.turn(q.side, true))
	}
	if a := b.arcs[1]; a != closed && s.dist[a] < far {
		best = min(best, s.dist[a]+share(b.backward, b.length-q.along, b.length)+b.turn(q.side, false))
	}
	return best
}

// along is the ride between two positions of one block that does not leave it.
func (g *Graph) along(p, q Position, ok []bool) int32 {
	if p.block != q.block || ok != nil && !ok[p.block] {
		return far
	}
	b := &g.blocks[p.block]
	best := far
	if b.forward != closed && p.along <= q.along {
		best = min(best, share(b.forward, q.along-p.along, b.length)+b.turn(p.side, true)+b.turn(q.side, true))
	}
	if b.backward != closed && p.along >= q.along {
		best = min(best, share(b.backward, p.along-q.along, b.length)+b.turn(p.side, false)+b.turn(q.side, false))
	}
	return best
}

// turn is the cost of driving forward (or backward) from or to a stop on the
// side, in milliseconds.
func (b *block) turn(s Side, forward bool) int32 {
	switch {
	case s == NoSide:
		return UTurn * 1000 / 2
	case b.drivesForward(s) == forward:
		return 0
	}
	return UTurn * 1000
}

func share(ms int32, part, whole float64) int32 { return int32(float64(ms) * part / whole) }
