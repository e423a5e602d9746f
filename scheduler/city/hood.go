package city

import (
	"math"

	"limbround/geo"
)

// hood is a neighbourhood: a convex piece of the city with a street grid of
// its own direction and spacing. The pieces are the cells of a few seed points
// (each place belongs to the nearest), so their edges are straight diagonals
// that become avenues.
type hood struct {
	seed   geo.Point
	turn   float64 // of the long streets, radians
	deep   float64 // between long streets, metres
	wide   float64 // between cross streets
	old    bool    // has alleys, and one-ways if it is the first
	outer  bool    // has culs-de-sac
	cell   []geo.Point
	facing []int // hood on the other side of cell edge i to i+1, -1 for the fringe
}

// newHoods places the neighbourhoods in rings around the first, the middle.
func newHoods(seed uint64, radius float64, blocks int) []hood {
	r := draw(seed, streamHood, 0)
	inner := 4
	outer := 0
	if blocks > 2500 {
		inner, outer = 5, 7
	}
	if blocks > 20000 {
		inner, outer = 6, 13
	}
	hoods := []hood{{turn: between(r, 0.05, 0.2), deep: 92, wide: 118, old: true}}
	ring := func(n int, at float64, deep, wide float64, old bool) {
		start := between(r, 0, 2*math.Pi)
		for i := range n {
			a := start + 2*math.Pi*(float64(i)+between(r, -0.15, 0.15))/float64(n)
			d := radius * at * between(r, 0.92, 1.08)
			turn := hoods[0].turn + between(r, 0.17, 0.62)*float64(1-2*(i%2))
			hoods = append(hoods, hood{
				seed: geo.Point{X: d * math.Cos(a), Y: d * math.Sin(a)}, turn: turn,
				deep: deep * between(r, 0.95, 1.1), wide: wide * between(r, 0.92, 1.1), old: old, outer: !old,
			})
		}
	}
	ring(inner, 0.62, 102, 168, outer > 0)
	ring(outer, 0.92, 112, 196, false)
	if outer == 0 {
		hoods[1].old, hoods[1].outer = true, false
	}
	for i := range hoods {
		hoods[i].cut(i, hoods, radius)
	}
	return hoods
}

// cut makes the cell of hood i: the round city clipped by the bisector to each
// other seed.
func (h *hood) cut(i int, all []hood, radius float64) {
	const corners = 24
	for k := range corners {
		s, c := math.Sincos(2 * math.Pi * float64(k) / corners)
		h.cell = append(h.cell, geo.Point{X: radius * c, Y: radius * s})
		h.facing = append(h.facing, -1)
	}
	for j := range all {
		if j == i {
			continue
		}
		to := all[j].seed.Sub(h.seed)
		limit := (dot(all[j].seed, all[j].seed) - dot(h.seed, h.seed)) / 2
		h.clip(to, limit, j)
	}
}

func dot(a, b geo.Point) float64   { return a.X*b.X + a.Y*b.Y }
func cross(a, b geo.Point) float64 { return a.X*b.Y - a.Y*b.X }

// clip keeps the part of the cell where n·p <= limit (Sutherland and Hodgman)
// and notes which hood the new edge faces.
func (h *hood) clip(n geo.Point, limit float64, other int) {
	var cell []geo.Point
	var facing []int
	for k, a := range h.cell {
		b := h.cell[(k+1)%len(h.cell)]
		da, db := dot(n, a)-limit, dot(n, b)-limit
		if da <= 0 {
			cell, facing = append(cell, a), append(facing, h.facing[k])
		}
		if (da < 0) == (db < 0) || da == 0 || db == 0 {
			continue
		}
		p := a.Add(b.Sub(a).Scale(da / (da - db)))
		f := h.facing[k]
		if da < 0 {
			f = other
		}
		cell, facing = append(cell, p), append(facing, f)
	}
	h.cell, h.facing = cell, facing
}

// span clips the infinite line through p in direction dir to the cell.
func (h *hood) span(p, dir geo.Point) (t0, t1 float64, ok bool) {
	t0, t1 = math.Inf(-1), math.Inf(1)
	for k, a := range h.cell {
		edge := h.cell[(k+1)%len(h.cell)].Sub(a)
		// Inside is to the left of each edge: cross(edge, x-a) >= 0.
		at, slope := cross(edge, p.Sub(a)), cross(edge, dir)
		switch {
		case slope == 0 && at < 0:
			return 0, 0, false
		case slope > 0:
			t0 = max(t0, -at/slope)
		case slope < 0:
			t1 = min(t1, -at/slope)
		}
	}
	return t0, t1, t1-t0 > 60
}

func (h *hood) holds(p geo.Point) bool {
	for k, a := range h.cell {
		if cross(h.cell[(k+1)%len(h.cell)].Sub(a), p.Sub(a)) < 0 {
			return false
		}
	}
	return len(h.cell) > 2
}

// at takes a place in the hood's grid frame to the city.
func (h *hood) at(x, y float64) geo.Point { return h.seed.Add(turned(geo.Point{X: x, Y: y}, h.turn)) }

// reach is how far the cell extends from its seed.
func (h *hood) reach() float64 {
	far := 0.0
	for _, p := range h.cell {
		far = max(far, p.Distance(h.seed))
	}
	return far
}
