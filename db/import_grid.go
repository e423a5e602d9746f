package db

import "math"

// spot is one place of the file that a tree or a site takes.
type spot struct {
	x, y     float64
	site     int64 // existing site, 0 for one that this file makes
	line     int32
	species  int32
	next     int32 // next spot of the same cell, -1 for none
	standing bool
}

// grid finds spots by cells of spotMetres.
type grid struct {
	cells   map[[2]int32]int32
	spots   []spot
	species []string
	number  map[string]int32
}

func newGrid() grid { return grid{cells: map[[2]int32]int32{}, number: map[string]int32{}} }

func cellOf(x, y float64) [2]int32 {
	return [2]int32{int32(math.Floor(x / spotMetres)), int32(math.Floor(y / spotMetres))}
}

func (g *grid) add(c *candidate, site int64) {
	n, ok := g.number[c.species]
	if !ok {
		n = int32(len(g.species))
		g.number[c.species] = n
		g.species = append(g.species, c.species)
	}
	cell := cellOf(c.x, c.y)
	next, ok := g.cells[cell]
	if !ok {
		next = -1
	}
	g.cells[cell] = int32(len(g.spots))
	g.spots = append(g.spots, spot{x: c.x, y: c.y, site: site, line: c.line, species: n, next: next, standing: c.standing})
}

// nearest returns the spot nearest to the point within spotMetres, nil for
// none. A standing tree counts before a place without one, the first in the
// file before a later one at the same distance.
func (g *grid) nearest(x, y float64) (*spot, float64) {
	var best *spot
	apart := math.Inf(1)
	at := cellOf(x, y)
	for dx := int32(-1); dx <= 1; dx++ {
		for dy := int32(-1); dy <= 1; dy++ {
			i, ok := g.cells[[2]int32{at[0] + dx, at[1] + dy}]
			for ; ok && i >= 0; i = g.spots[i].next {
				s := &g.spots[i]
				d := math.Hypot(s.x-x, s.y-y)
				if d > spotMetres || best != nil && best.standing && !s.standing {
					continue
				}
				if best == nil || s.standing && !best.standing || d < apart || d == apart && s.line < best.line {
					best, apart = s, d
				}
			}
		}
	}
	return best, apart
}
