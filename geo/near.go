package geo

import "math"

// near finds the features around a point. The plane is cut into square cells; a
// feature is entered in each cell that comes within reach of it. So a question
// looks into the one cell of its point, which lists every feature within reach
// and a few that are somewhat further off: whoever asks measures the distance.
//
// Cells live in a map, because a single stray vertex far from the city must not
// ask for the cells in between. Entries of one cell are chained, newest first.
type near struct {
	reach, cell float64
	first       map[[2]int32]int32 // entry of each cell, from 1
	entries     []entry
}

type entry struct{ feature, next int32 }

// newNear makes an index of features that are asked for within reach metres.
func newNear(reach float64) *near {
	return &near{reach: reach, cell: max(20, reach), first: map[[2]int32]int32{}}
}

func (n *near) at(v float64) int32 { return int32(math.Floor(v / n.cell)) }

// add enters a path. Its pieces are cut to the length of a cell, so that a long
// one across the grain does not fill the square over it.
func (n *near) add(feature int32, p *Path) {
	for i, b := range p.pts {
		a := p.pts[max(0, i-1)]
		cuts := math.Max(1, math.Ceil(apart(a, b)/n.cell))
		for k := 1.0; k <= cuts; k++ {
			from, to := a.Add(b.Sub(a).Scale((k-1)/cuts)), a.Add(b.Sub(a).Scale(k/cuts))
			n.enter(feature, boxOf([]Point{from, to}))
		}
	}
}

func (n *near) enter(feature int32, b box) {
	const slack = 0.001 // the cut points are rounded
	x0, x1 := n.at(b.x0-n.reach-slack), n.at(b.x1+n.reach+slack)
	y0, y1 := n.at(b.y0-n.reach-slack), n.at(b.y1+n.reach+slack)
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			c := [2]int32{x, y}
			head := n.first[c]
			if head != 0 && n.entries[head-1].feature == feature {
				continue // a feature enters all its cells before the next one does
			}
			n.entries = append(n.entries, entry{feature, head})
			n.first[c] = int32(len(n.entries))
		}
	}
}

// each calls fn for every feature that may lie within reach of q.
func (n *near) each(q Point, fn func(feature int32)) {
	for i := n.first[[2]int32{n.at(q.X), n.at(q.Y)}]; i != 0; i = n.entries[i-1].next {
		fn(n.entries[i-1].feature)
	}
}

// box is a rectangle along the axes.
type box struct{ x0, y0, x1, y1 float64 }

func boxOf(pts []Point) box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range pts {
		b = box{min(b.x0, p.X), min(b.y0, p.Y), max(b.x1, p.X), max(b.y1, p.Y)}
	}
	return b
}

func (b box) holds(q Point) bool { return q.X >= b.x0 && q.X <= b.x1 && q.Y >= b.y0 && q.Y <= b.y1 }

// beyond reports whether q is certainly further than d from all that the box holds.
func (b box) beyond(q Point, d float64) bool {
	return q.X < b.x0-d || q.X > b.x1+d || q.Y < b.y0-d || q.Y > b.y1+d
}
