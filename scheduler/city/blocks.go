package city

import (
	"limbround/geo"
	"limbround/scheduler"
)

// streets cuts the centre lines into blocks and gives each its cross-section.
func (n *network) streets() []block {
	nodes, edges := n.edges()
	edges = n.repair(edges, nodes)
	profiles := make([]block, len(n.lines))
	for i := range n.lines {
		profiles[i] = n.profile(i)
	}
	below := n.underBridges(edges)
	var out []block
	bridges := 0
	for i, e := range edges {
		l := &n.lines[e.line]
		r := draw(n.seed, streamDrop, i)
		if l.class == scheduler.Residential && !l.middle && !l.tail && chance(r, 0.035) {
			continue // a park, a school, a plant: the block is not built
		}
		s := profiles[e.line]
		s.Line, s.Bridge = e.pts, e.bridge
		if e.bridge {
			s.Width, s.Parking = s.Width-parkingWidth(s.Parking), "none"
			if bridges++; bridges == 3 {
				s.MaxWeightKg, s.Truck = 9000, false
			}
		}
		if below[i] {
			s.MaxHeight, s.Truck = geo.Length(100*(31+r.IntN(8))), false
		}
		out = append(out, s)
	}
	return out
}

// profile draws the cross-section that all blocks of a line share.
func (n *network) profile(i int) block {
	l := &n.lines[i]
	r := draw(n.seed, streamLine, i)
	s := block{Street: usual(l.class), key: i}
	s.Name, s.Class, s.OneWay, s.Bus = l.name, l.class, "no", l.bus
	s.Parking, s.MaxHeight = "none", geo.None
	switch l.class {
	case scheduler.Arterial:
		s.Truck = chance(r, 0.5)
		s.Lanes = 4
		lane := between(r, 3.2, 3.5)
		if l.middle && l.name != weir {
			s.Lanes, s.Parking = 2, "both"
		}
		s.Width = geo.Metres(float64(s.Lanes) * lane)
		if l.name == weir {
			s.Width, s.Truck, s.SpeedKmh = 13600, false, 48
		}
	case scheduler.Collector:
		s.Bus = chance(r, 0.25)
		s.Parking = []string{"both", "left", "right", "none"}[pick(r, []float64{5, 2, 2, 1})]
		s.Width = geo.Metres(2 * between(r, 3.2, 3.5))
		if l.quay {
			s.Parking = "none"
		}
	case scheduler.Residential:
		s.Parking = []string{"both", "left", "right", "none"}[pick(r, []float64{5, 2, 2, 2})]
		s.Width = geo.Metres(2 * between(r, 2.6, 3.1))
		if l.oneWay != "" {
			s.OneWay, s.Lanes = l.oneWay, 1
			s.Width = geo.Metres(between(r, 3.4, 4.2))
		}
	default:
		s.Width = geo.Metres(between(r, 4, 5.4))
	}
	s.Width += parkingWidth(s.Parking)
	return s
}

// parkingWidth is the part of a road's width that parked cars take.
func parkingWidth(parking string) geo.Length {
	switch parking {
	case "both":
		return 4800
	case "left", "right":
		return 2400
	}
	return 0
}

// underBridges finds the blocks that a bridge passes over.
func (n *network) underBridges(edges []edge) map[int]bool {
	cells := map[cell][]int{}
	for i, e := range edges {
		if e.bridge {
			for k := 1; k < len(e.pts); k++ {
				rasterise(e.pts[k-1], e.pts[k], func(c cell) { cells[c] = append(cells[c], i) })
			}
		}
	}
	below := map[int]bool{}
	for i, e := range edges {
		if e.bridge {
			continue
		}
		for k := 1; k < len(e.pts); k++ {
			rasterise(e.pts[k-1], e.pts[k], func(c cell) {
				for _, b := range cells[c] {
					below[i] = below[i] || passesOver(edges[b].pts, e.pts[k-1], e.pts[k])
				}
			})
		}
	}
	return below
}

func passesOver(bridge []geo.Point, a, b geo.Point) bool {
	for k := 1; k < len(bridge); k++ {
		if bridge[k-1] == a || bridge[k-1] == b || bridge[k] == a || bridge[k] == b {
			continue
		}
		if _, _, ok := intersect(bridge[k-1], bridge[k], a, b); ok {
			return true
		}
	}
	return false
}

// corners collects, for every end of a block, which blocks end there.
func corners(streets []block) map[geo.Point][]int {
	at := make(map[geo.Point][]int, len(streets))
	for i := range streets {
		line := streets[i].Line
		for _, p := range []geo.Point{line[0], line[len(line)-1]} {
			if ids := at[p]; len(ids) > 0 && ids[len(ids)-1] == i {
				continue // a loop
			}
			at[p] = append(at[p], i)
		}
	}
	return at
}
