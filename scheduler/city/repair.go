package city

import (
	"cmp"
	"math"
	"slices"

	"limbround/geo"
)

// repair drops what bending the lines has spoilt: a second block between the
// same junctions, two blocks that leave a junction almost together, and blocks
// that cross without a junction. The lesser block of the two goes.
func (n *network) repair(edges []edge, nodes []geo.Point) []edge {
	gone := make([]bool, len(edges))
	lesser := func(i, j int) int {
		a, b := &edges[i], &edges[j]
		ra, rb := rank(n.lines[a.line].class), rank(n.lines[b.line].class)
		// The riverside drives and bridges hold the network together.
		if n.lines[a.line].quay || a.bridge {
			ra = -1
		}
		if n.lines[b.line].quay || b.bridge {
			rb = -1
		}
		if cmp.Or(cmp.Compare(ra, rb), cmp.Compare(i, j)) < 0 {
			return j
		}
		return i
	}
	for _, pair := range n.skinny(edges, nodes) {
		if !gone[pair[0]] && !gone[pair[1]] {
			gone[lesser(pair[0], pair[1])] = true
		}
	}
	for _, pair := range clashes(edges) {
		if !gone[pair[0]] && !gone[pair[1]] {
			gone[lesser(pair[0], pair[1])] = true
		}
	}
	kept := edges[:0]
	for i, e := range edges {
		if !gone[i] {
			kept = append(kept, e)
		}
	}
	return kept
}

// skinny lists pairs of blocks that leave a junction less than 16 degrees apart.
func (n *network) skinny(edges []edge, nodes []geo.Point) [][2]int {
	at := make([][]int, len(nodes))
	for i, e := range edges {
		at[e.a] = append(at[e.a], i)
		at[e.b] = append(at[e.b], i)
	}
	limit := math.Cos(16 * math.Pi / 180)
	away := func(i, node int) geo.Point {
		pts := edges[i].pts
		if edges[i].a != node {
			pts = []geo.Point{pts[len(pts)-1], pts[len(pts)-2]}
		}
		_, dir := along(pts[:2], 0)
		return dir
	}
	var out [][2]int
	for node, ids := range at {
		for x, i := range ids {
			for _, j := range ids[x+1:] {
				if edges[i].a == edges[j].a && edges[i].b == edges[j].b || edges[i].a == edges[j].b && edges[i].b == edges[j].a ||
					dot(away(i, node), away(j, node)) > limit {
					out = append(out, [2]int{i, j})
				}
			}
		}
	}
	return out
}

// clashes lists pairs of blocks that cross away from their junctions.
// Bridges are left out: crossing is what they are for.
func clashes(edges []edge) [][2]int {
	type part struct {
		edge int
		a, b geo.Point
	}
	cells := map[cell][]part{}
	for i, e := range edges {
		if e.bridge {
			continue
		}
		for k := 1; k < len(e.pts); k++ {
			rasterise(e.pts[k-1], e.pts[k], func(c cell) { cells[c] = append(cells[c], part{i, e.pts[k-1], e.pts[k]}) })
		}
	}
	var out [][2]int
	for _, parts := range cells {
		for x, p := range parts {
			for _, q := range parts[x+1:] {
				if p.edge == q.edge || p.a == q.a || p.a == q.b || p.b == q.a || p.b == q.b {
					continue
				}
				if _, _, ok := intersect(p.a, p.b, q.a, q.b); ok {
					out = append(out, [2]int{min(p.edge, q.edge), max(p.edge, q.edge)})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b [2]int) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	return slices.Compact(out)
}
