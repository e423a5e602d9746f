package road

import (
	"math"

	"limbround/geo"
)

// SnapReach is the largest distance, in metres, from a stop to the street that
// serves it.
const SnapReach = 300.0

// Position is a place on a block, seen from a truck.
type Position struct {
	block int32
	along float64 // metres from the block's first vertex
	side  Side
}

// At places a stop on a known block: along is the distance from the block's
// first vertex to the foot of the stop (geo.None: found from p), side the side
// of the digitised line. It reports false when the graph has no such block.
func (g *Graph) At(street int64, p geo.Point, along geo.Length, side Side) (Position, bool) {
	i, ok := g.byID[street]
	if !ok {
		return Position{}, false
	}
	b := &g.blocks[i]
	m := along.M()
	if !along.Known() {
		if !p.Valid() {
			return Position{}, false
		}
		_, m = foot(b.line, p)
	}
	return Position{i, min(max(m, 0), b.length), side}, true
}

// Snap places a stop on the nearest block within SnapReach. It reports false
// when there is none.
func (g *Graph) Snap(p geo.Point) (Position, bool) {
	if !p.Valid() {
		return Position{}, false
	}
	best, bestDist, bestAlong := int32(-1), SnapReach, 0.0
	g.grid.near(p, SnapReach, func(i int32) {
		d, along := foot(g.blocks[i].line, p)
		if d < bestDist || d == bestDist && best >= 0 && i < best {
			best, bestDist, bestAlong = i, d, along
		}
	})
	return Position{best, bestAlong, NoSide}, best >= 0
}

// Along is the distance of p from its block's first vertex, in metres.
func (p Position) Along() float64 { return p.along }

// Forward reports whether a truck standing at p faces along the digitised line.
func (g *Graph) Forward(p Position) bool { return g.blocks[p.block].drivesForward(p.side) }

// Street is the id of the block that p lies on.
func (g *Graph) Street(p Position) int64 { return g.blocks[p.block].id }

// drivesForward reports whether a truck standing on the side faces along the
// digitised line. Traffic keeps right.
func (b *block) drivesForward(s Side) bool {
	if b.backward == closed {
		return true
	}
	if b.forward == closed {
		return false
	}
	return s != Left
}

// foot returns the distance from p to the line and how far along the line the
// nearest point lies.
func foot(line []geo.Point, p geo.Point) (dist, along float64) {
	dist = math.Inf(1)
	run := 0.0
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		v := b.Sub(a)
		l2 := v.X*v.X + v.Y*v.Y
		f := 0.0
		if l2 > 0 {
			w := p.Sub(a)
			f = min(max((w.X*v.X+w.Y*v.Y)/l2, 0), 1)
		}
		l := math.Sqrt(l2)
		if d := p.Distance(a.Add(v.Scale(f))); d < dist {
			dist, along = d, run+f*l
		}
		run += l
	}
	return dist, along
}
