package city

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"limbround/geo"
	"limbround/scheduler"
)

// place is a spot for a street tree.
type place struct {
	at     float64 // metres along the block
	onLeft bool
	p      geo.Point
}

// special is the spot of the hand-made tree.
type special struct {
	block  int
	place  place
	corner string
}

// places lists the spots along a block, left side first: 7 to 14 m apart, 12 m
// and more from its junctions, 3 m from lights, behind the curb, and clear of
// every other street, so that trees of two streets never stand on one spot.
func (c *City) places(i int) []place {
	s := &c.streets[i]
	if !s.built() {
		return nil
	}
	r := draw(c.req.Seed, streamPlot, i)
	f := c.face(i)
	lamps := c.lamps(i)
	total := length(s.Line)
	var out []place
	for _, side := range bothSides {
		for at := between(r, 12, 16); at < total-12; at += between(r, 7, 14) {
			p, dir := along(s.Line, at)
			p = p.Add(left(dir).Scale(side.sign * (s.half() + f.tree)))
			spot := place{at, side.onLeft, p}
			if !byLamp(lamps, spot) && c.free(i, p) && apart(out, p) && c.keepsOff(i, p) {
				out = append(out, spot)
			}
		}
	}
	return out
}

func byLamp(lamps []lamp, s place) bool {
	for _, l := range lamps {
		if l.onLeft == s.onLeft && math.Abs(l.at-s.at) < 3.5 {
			return true
		}
	}
	return false
}

func apart(others []place, p geo.Point) bool {
	for k := range others {
		if others[k].p.Distance(p) < 5 {
			return false
		}
	}
	return true
}

// free reports whether p is off the roadway of its own block, well clear of
// all others, and out of the corners.
func (c *City) free(i int, p geo.Point) bool {
	s := &c.streets[i]
	if p.Distance(s.Line[0]) < 11 || p.Distance(s.Line[len(s.Line)-1]) < 11 {
		return false
	}
	ok := true
	c.index.near(p, 40, func(street int, d float64) bool {
		least := max(c.streets[street].half()+3.7, 6.5)
		if street == i {
			least = s.half() + 0.5
		}
		ok = d >= least
		return ok
	})
	return ok
}

// keepsOff leaves room around the hand-made tree once its spot is chosen.
func (c *City) keepsOff(i int, p geo.Point) bool {
	return c.special.corner == "" || i != c.special.block || p.Distance(c.special.place.p) > 6
}

// choosePlace finds the spot of the hand-made tree: on Weir Street by the bus
// lane, as near to the corner of Foundry Avenue as trees may stand. On a given
// network it is a bus route, else the highest class, nearest to the middle.
func (c *City) choosePlace() error {
	at := corners(c.streets)
	type candidate struct {
		block int
		cost  float64
		end   geo.Point
	}
	var all []candidate
	for i := range c.streets {
		s := &c.streets[i]
		for _, end := range []geo.Point{s.Line[0], s.Line[len(s.Line)-1]} {
			cost := math.Hypot(end.X, end.Y) + 2000*float64(rank(s.Class))
			if s.Bus && s.Parking == "none" {
				cost -= 2000
			}
			if s.Name == weir && c.otherName(at[end], s.Name) == foundry {
				cost -= 1e6
			}
			all = append(all, candidate{i, cost, end})
		}
	}
	slices.SortFunc(all, func(a, b candidate) int { return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.block, b.block)) })
	for _, a := range all {
		spots := c.places(a.block)
		if len(spots) == 0 {
			continue
		}
		best := slices.MinFunc(spots, func(x, y place) int {
			return cmp.Compare(x.p.Distance(a.end), y.p.Distance(a.end))
		})
		s := &c.streets[a.block]
		corner := s.address(best.at, best.onLeft)
		if corner == "" {
			corner = "block " + s.Ref
		}
		if other := c.otherName(at[a.end], s.Name); other != "" {
			corner = fmt.Sprintf("%s, near %s", corner, other)
		}
		c.special = special{a.block, best, corner}
		return nil
	}
	return scheduler.Errorf(scheduler.Infeasible, "streets: no block has room for a tree")
}

// otherName is the name of another street at a junction, empty for none.
func (c *City) otherName(meet []int, name string) string {
	for _, j := range meet {
		if n := c.streets[j].Name; n != name && n != "" {
			return n
		}
	}
	return ""
}

// allot decides how many trees each block gets, so that the city has exactly
// the number asked for: by room and a density of the block's own, then one by
// one where room is left.
func (c *City) allot() error {
	room := make([]int, len(c.streets))
	weight := make([]float64, len(c.streets))
	total, sum := 0, 0.0
	for i := range c.streets {
		room[i] = len(c.places(i))
		weight[i] = float64(room[i]) * between(draw(c.req.Seed, streamTree, -1-i), 0.5, 1.5)
		total += room[i]
		sum += weight[i]
	}
	want := c.req.Trees - 1 // the hand-made tree has its spot already
	if want > total {
		return scheduler.Errorf(scheduler.Infeasible, "trees %d: the %d blocks have room for %d", c.req.Trees, len(c.streets), total+1)
	}
	c.plots = make([]int, len(c.streets))
	for i := range c.plots {
		if sum > 0 {
			c.plots[i] = min(room[i], int(float64(want)*weight[i]/sum))
		}
	}
	for _, n := range c.plots {
		want -= n
	}
	for want > 0 {
		for i := range c.plots {
			if want > 0 && c.plots[i] < room[i] {
				c.plots[i]++
				want--
			}
		}
	}
	return nil
}
