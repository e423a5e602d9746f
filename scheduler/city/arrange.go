package city

import (
	"cmp"
	"math"
	"slices"

	"limbround/geo"
	"limbround/scheduler"
)

// From centre lines to blocks. All crossings of all lines are found with a
// coarse grid of cells; the crossings become junctions, the most important
// first, and a crossing close to a junction that exists joins it, so that no
// two junctions stand nearer than snap. Each line is then cut at its junctions.
// Moving a crossing to a junction bends a line a little; where bending made two
// blocks cross or nearly coincide, the lesser one goes.
const snap = 26.0

// edge is a block in the making: a piece of a line between two junctions.
type edge struct {
	a, b   int // junctions
	line   int
	pts    []geo.Point // from junction a to junction b
	bridge bool
}

// meeting is a crossing of two lines, or the turning head of one (other < 0).
type meeting struct {
	p           geo.Point
	line, other int
	s, sOther   float64 // arc lengths
	rank        int     // lower goes first
}

func rank(c scheduler.StreetClass) int {
	switch c {
	case scheduler.Arterial:
		return 0
	case scheduler.Collector:
		return 1
	case scheduler.Residential:
		return 2
	default:
		return 3
	}
}

// stop is a junction on a line.
type stop struct {
	s    float64
	node int
}

// edges cuts the lines into blocks.
func (n *network) edges() ([]geo.Point, []edge) {
	found := n.meetings()
	slices.SortFunc(found, func(a, b meeting) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.line, b.line), cmp.Compare(a.s, b.s), cmp.Compare(a.other, b.other))
	})
	nodes := newNodes()
	stops := make([][]stop, len(n.lines))
	for _, m := range found {
		id := nodes.at(m.p)
		stops[m.line] = append(stops[m.line], stop{m.s, id})
		if m.other >= 0 {
			stops[m.other] = append(stops[m.other], stop{m.sOther, id})
		}
	}
	var out []edge
	for i := range n.lines {
		out = append(out, n.cutLine(i, stops[i], nodes.pts)...)
	}
	return nodes.pts, out
}

// meetings finds where lines cross.
func (n *network) meetings() []meeting {
	type part struct {
		line  int
		a, b  geo.Point
		start float64
	}
	var parts []part
	cells := map[cell][]int32{}
	for i := range n.lines {
		s := 0.0
		pts := n.lines[i].pts
		for k := 1; k < len(pts); k++ {
			rasterise(pts[k-1], pts[k], func(c cell) { cells[c] = append(cells[c], int32(len(parts))) })
			parts = append(parts, part{i, pts[k-1], pts[k], s})
			s += pts[k-1].Distance(pts[k])
		}
	}
	var out []meeting
	for c, ids := range cells {
		for x := range ids {
			for _, y := range ids[x+1:] {
				p, q := &parts[ids[x]], &parts[y]
				if p.line == q.line || !n.joins(p.line, q.line) {
					continue
				}
				tp, tq, ok := intersect(p.a, p.b, q.a, q.b)
				if !ok {
					continue
				}
				at := p.a.Add(p.b.Sub(p.a).Scale(tp))
				if cellOf(at) != c {
					continue // its own cell reports it
				}
				if n.river.between(at) && !n.lines[p.line].quay && !n.lines[q.line].quay {
					continue
				}
				out = append(out, meeting{
					p: at, line: p.line, other: q.line,
					s: p.start + tp*p.a.Distance(p.b), sOther: q.start + tq*q.a.Distance(q.b),
					rank: rank(n.lines[p.line].class) + rank(n.lines[q.line].class),
				})
			}
		}
	}
	for i := range n.lines {
		if l := &n.lines[i]; l.tail {
			out = append(out, meeting{p: l.pts[len(l.pts)-1], line: i, other: -1, s: length(l.pts), rank: 9})
		}
	}
	return out
}

// joins is false between a bridge that passes over and the drives below it.
func (n *network) joins(i, j int) bool {
	a, b := &n.lines[i], &n.lines[j]
	return !(a.over && b.quay || b.over && a.quay)
}

// intersect solves a+tp(b-a) = c+tq(d-c) for both in [0,1]; parallels never meet.
func intersect(a, b, c, d geo.Point) (tp, tq float64, ok bool) {
	r, s, w := b.Sub(a), d.Sub(c), c.Sub(a)
	den := cross(r, s)
	if math.Abs(den) <= 1e-9*math.Sqrt(dot(r, r)*dot(s, s)) { // parallel
		return 0, 0, false
	}
	tp, tq = cross(w, s)/den, cross(w, r)/den
	return tp, tq, tp >= 0 && tp <= 1 && tq >= 0 && tq <= 1
}

// cutLine turns the junctions of one line into blocks, leaving out what lies
// in the river and what leads nowhere.
func (n *network) cutLine(i int, stops []stop, nodes []geo.Point) []edge {
	l := &n.lines[i]
	slices.SortFunc(stops, func(a, b stop) int { return cmp.Or(cmp.Compare(a.s, b.s), cmp.Compare(a.node, b.node)) })
	var path []stop
	for _, st := range stops {
		back := slices.IndexFunc(path[max(len(path)-3, 0):], func(p stop) bool { return p.node == st.node })
		if back >= 0 {
			path = path[:max(len(path)-3, 0)+back+1]
			continue
		}
		path = append(path, st)
	}
	var out []edge
	for k := 1; k < len(path); k++ {
		e := edge{a: path[k-1].node, b: path[k].node, line: i}
		e.pts = append(e.pts, nodes[e.a])
		s := 0.0
		for v := 1; v < len(l.pts)-1; v++ {
			s += l.pts[v-1].Distance(l.pts[v])
			if s > path[k-1].s+20 && s < path[k].s-20 {
				e.pts = append(e.pts, l.pts[v])
			}
		}
		e.pts = append(e.pts, nodes[e.b])
		if n.overWater(e.pts) {
			if !l.bridge || length(e.pts) > 8*(n.river.half+quay) || n.river.beside(nodes[e.a])*n.river.beside(nodes[e.b]) > 0 {
				continue
			}
			e.bridge = true
		}
		out = append(out, e)
	}
	return out
}

// overWater samples the block every few metres against the river and its quays.
func (n *network) overWater(pts []geo.Point) bool {
	total := length(pts)
	for s := 6.0; s < total-6; s += 6 {
		if p, _ := along(pts, s); n.river.wet(p) {
			return true
		}
	}
	return false
}

// nodes are junctions no two of which stand nearer than snap.
type nodes struct {
	pts   []geo.Point
	cells map[cell][]int
}

func newNodes() *nodes { return &nodes{cells: map[cell][]int{}} }

// at returns the nearest junction within snap of p, or a new one at p.
func (n *nodes) at(p geo.Point) int {
	c := snapCell(p)
	best, near := -1, snap
	for dx := int32(-1); dx <= 1; dx++ {
		for dy := int32(-1); dy <= 1; dy++ {
			for _, id := range n.cells[cell{c.x + dx, c.y + dy}] {
				if d := n.pts[id].Distance(p); d < near {
					best, near = id, d
				}
			}
		}
	}
	if best >= 0 {
		return best
	}
	n.cells[c] = append(n.cells[c], len(n.pts))
	n.pts = append(n.pts, p)
	return len(n.pts) - 1
}

func snapCell(p geo.Point) cell {
	return cell{int32(math.Floor(p.X / snap)), int32(math.Floor(p.Y / snap))}
}
