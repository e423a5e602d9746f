package city

import (
	"math"

	"limbround/geo"
)

// cell is a square of a grid laid over the city.
type cell struct{ x, y int32 }

const cellSize = 100.0

func cellOf(p geo.Point) cell {
	return cell{int32(math.Floor(p.X / cellSize)), int32(math.Floor(p.Y / cellSize))}
}

// rasterise visits every cell that the segment passes through, once each, and
// perhaps a few beside it.
func rasterise(a, b geo.Point, visit func(cell)) {
	ca, cb := cellOf(a), cellOf(b)
	x0, x1 := min(ca.x, cb.x), max(ca.x, cb.x)
	for x := x0; x <= x1; x++ {
		y0, y1 := min(a.Y, b.Y), max(a.Y, b.Y)
		if a.X != b.X {
			at := func(px float64) float64 { return a.Y + (b.Y-a.Y)*(px-a.X)/(b.X-a.X) }
			l, r := at(float64(x)*cellSize), at(float64(x+1)*cellSize)
			y0, y1 = max(y0, min(l, r)), min(y1, max(l, r))
		}
		for y := int32(math.Floor(y0/cellSize - 1e-9)); y <= int32(math.Floor(y1/cellSize+1e-9)); y++ {
			visit(cell{x, y})
		}
	}
}

// index finds the streets near a place.
type index struct {
	streets []block
	cells   map[cell][]segment
}

type segment struct{ street, vertex int32 } // from vertex to vertex+1

func newIndex(streets []block) *index {
	x := &index{streets, map[cell][]segment{}}
	for i := range streets {
		for k := range len(streets[i].Line) - 1 {
			rasterise(streets[i].Line[k], streets[i].Line[k+1], func(c cell) {
				x.cells[c] = append(x.cells[c], segment{int32(i), int32(k)})
			})
		}
	}
	return x
}

// near visits the segments within reach (less than a cell) of p with their
// distance; it stops when visit returns false. A segment may come twice.
func (x *index) near(p geo.Point, reach float64, visit func(street int, d float64) bool) {
	lo := cellOf(geo.Point{X: p.X - reach, Y: p.Y - reach})
	hi := cellOf(geo.Point{X: p.X + reach, Y: p.Y + reach})
	for cx := lo.x; cx <= hi.x; cx++ {
		for cy := lo.y; cy <= hi.y; cy++ {
			for _, g := range x.cells[cell{cx, cy}] {
				line := x.streets[g.street].Line
				d := toSegment(p, line[g.vertex], line[g.vertex+1])
				if d < reach && !visit(int(g.street), d) {
					return
				}
			}
		}
	}
}

// toSegment is the distance from p to the segment from a to b.
func toSegment(p, a, b geo.Point) float64 {
	ab := b.Sub(a)
	l := dot(ab, ab)
	if l == 0 {
		return p.Distance(a)
	}
	t := min(max(dot(p.Sub(a), ab)/l, 0), 1)
	return p.Distance(a.Add(ab.Scale(t)))
}
