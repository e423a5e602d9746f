package road

import (
	"math"

	"limbround/geo"
)

// Graph is the street network as directed arcs between junctions. It is
// immutable after New and may be used by several goroutines at once.
type Graph struct {
	blocks []block
	byID   map[int64]int32
	// arcs that leave junction n are arcs[first[n]:first[n+1]]
	first   []int32
	arcs    []arc
	grid    grid
	limited bool
}

// block is one street reduced to what travel needs.
type block struct {
	id        int64
	line      []geo.Point
	a, b      int32 // junctions at its first and last vertex
	length    float64
	forward   int32 // milliseconds from a to b, closed when forbidden
	backward  int32
	arcs      [2]int32 // the arcs forward and backward, closed when there is none
	maxHeight geo.Length
	maxKg     int
}

// closed marks a direction in which a block may not be driven.
const closed = int32(-1)

// arc is a block driven in one direction.
type arc struct {
	to    int32 // junction at its head
	ms    int32
	block int32
}

// maxBlock is the length in metres from which a line cannot be a block: its
// coordinates are not metres.
const maxBlock = 1e6

// New builds the graph. Blocks with fewer than two distinct valid vertices, or
// longer than 1,000 km, carry no traffic and are left out.
func New(streets []Street) *Graph {
	g := &Graph{byID: make(map[int64]int32, len(streets))}
	junctions := make(map[geo.Point]int32, len(streets))
	junction := func(p geo.Point) int32 {
		n, ok := junctions[p]
		if !ok {
			n = int32(len(junctions))
			junctions[p] = n
		}
		return n
	}
	for i := range streets {
		s := &streets[i]
		length := lineLength(s.Line)
		if !(length > 0 && length < maxBlock) {
			continue
		}
		ms := int32(min(math.Ceil(length/s.speed()*1000), float64(far-1)))
		b := block{
			id: s.ID, line: s.Line, length: length, forward: ms, backward: ms, arcs: [2]int32{closed, closed},
			maxHeight: s.MaxHeight, maxKg: s.MaxWeightKg,
			a: junction(s.Line[0]), b: junction(s.Line[len(s.Line)-1]),
		}
		switch s.OneWay {
		case Forward:
			b.backward = closed
		case Backward:
			b.forward = closed
		}
		g.limited = g.limited || b.maxHeight > 0 || b.maxKg > 0
		g.byID[s.ID] = int32(len(g.blocks))
		g.blocks = append(g.blocks, b)
	}
	g.link(len(junctions))
	g.grid = newGrid(g.blocks)
	return g
}

// link lays the arcs out by their tail junction.
func (g *Graph) link(junctions int) {
	g.first = make([]int32, junctions+1)
	each := func(visit func(tail int32, dir int, a arc)) {
		for i := range g.blocks {
			b := &g.blocks[i]
			if b.forward != closed {
				visit(b.a, 0, arc{b.b, b.forward, int32(i)})
			}
			if b.backward != closed {
				visit(b.b, 1, arc{b.a, b.backward, int32(i)})
			}
		}
	}
	each(func(tail int32, _ int, _ arc) { g.first[tail+1]++ })
	for n := range junctions {
		g.first[n+1] += g.first[n]
	}
	g.arcs = make([]arc, g.first[junctions])
	next := make([]int32, junctions)
	copy(next, g.first)
	each(func(tail int32, dir int, a arc) {
		g.arcs[next[tail]] = a
		g.blocks[a.block].arcs[dir] = next[tail]
		next[tail]++
	})
}

// Blocks is the number of blocks that carry traffic.
func (g *Graph) Blocks() int { return len(g.blocks) }

// Limited reports whether any block has a height or weight limit. Without one
// all trucks have the same travel times.
func (g *Graph) Limited() bool { return g.limited }

func lineLength(line []geo.Point) float64 {
	sum := 0.0
	for i := range line {
		if !line[i].Valid() {
			return 0
		}
		if i > 0 {
			sum += line[i].Distance(line[i-1])
		}
	}
	return sum
}
