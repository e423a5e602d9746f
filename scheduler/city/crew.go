package city

import (
	"cmp"
	"fmt"
	"iter"
	"math"
	"slices"

	"limbround/geo"
	"limbround/scheduler"
)

// yard finds a place for a depot or a dump near a point: behind a street that
// trucks use, on dry land, clear of every road.
func (c *City) yard(near geo.Point) geo.Point {
	type candidate struct {
		street int
		d      float64
	}
	var all []candidate
	for i := range c.streets {
		if s := &c.streets[i]; s.built() && length(s.Line) > 50 {
			m, _ := along(s.Line, length(s.Line)/2)
			penalty := 200 * float64(max(rank(s.Class)-1, 0))
			all = append(all, candidate{i, m.Distance(near) + penalty})
		}
	}
	slices.SortFunc(all, func(a, b candidate) int { return cmp.Or(cmp.Compare(a.d, b.d), cmp.Compare(a.street, b.street)) })
	for _, a := range all {
		s := &c.streets[a.street]
		m, dir := along(s.Line, length(s.Line)/2)
		for _, side := range bothSides {
			p := m.Add(left(dir).Scale(side.sign * (s.half() + 22)))
			if !c.river.wet(p) && c.clearOf(p, 18) {
				return p
			}
		}
	}
	return near
}

// clearOf reports whether no street's middle lies within d metres of p.
func (c *City) clearOf(p geo.Point, d float64) bool {
	free := true
	c.index.near(p, d, func(int, float64) bool { free = false; return false })
	return free
}

// spread places n points on a ring at a share of the city's reach.
func (c *City) spread(n int, share, start float64) []geo.Point {
	reach := 0.0
	for i := range c.streets {
		reach = max(reach, math.Hypot(c.streets[i].Line[0].X, c.streets[i].Line[0].Y))
	}
	out := make([]geo.Point, n)
	for i := range out {
		s, co := math.Sincos(start + 2*math.Pi*float64(i)/float64(n))
		out[i] = geo.Point{X: reach * share * co, Y: reach * share * s}
	}
	return out
}

var depotNames = []string{"North Yard", "South Yard", "Millrace Yard", "Orchard Yard", "Granary Yard", "Kiln Yard"}

func (c *City) depotCount() int { return min(2+c.req.Trees/250_000, len(depotNames)) }

func (c *City) depots() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		for i, p := range c.spread(c.depotCount(), 0.45, 1.2) {
			e := Entry{Row: scheduler.Row{
				Values: []any{fmt.Sprintf("Y%d", i+1), depotNames[i]},
				Shape:  geo.NewPoint(4326, c.lonLat(c.yard(p))),
			}}
			if !yield(e) {
				return
			}
		}
	}
}

// dumps are works that take ordinary chips, and last a yard for the wood that
// stays in its zone.
func (c *City) dumps() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		n := 1 + c.req.Trees/300_000
		for i, p := range c.spread(n+1, 0.75, 0.3) {
			name, sanitation := fmt.Sprintf("Compost Works %d", i+1), any(nil)
			if i == n {
				name, sanitation = "Quarantine Yard", "ash_wood elm_wood oak_wood"
			}
			e := Entry{Row: scheduler.Row{
				Values: []any{fmt.Sprintf("U%d", i+1), name, int64(20), sanitation},
				Shape:  geo.NewPoint(4326, c.lonLat(c.yard(p))),
			}}
			if !yield(e) {
				return
			}
		}
	}
}

// crews are pickup crews for young trees, lift crews and line-clearance crews.
// The tickets of the last lift crew are short of one on purpose: its lift test
// ran out three weeks ago, so it cannot be issued work.
func (c *City) crews() iter.Seq[Entry] {
	n := c.req.Trees
	groups := []struct {
		letter, name   string
		count, people  int
		skills         string
		truck          int64      // chips, l
		high           geo.Length // of the truck
		weight         int64      // kg, loaded
		equipment      string
		tickets        []string
		lastMayBeStale bool
	}{
		{"T", "Training crew", 2 + n/60_000, 2, "ground", 6000, 2100, 4500, "pickup, pole pruners", []string{"first aid"}, false},
		{"L", "Lift crew", 3 + n/20_000, 3, "ground lift", 15000, 3500, 14500, "aerial lift, chipper", []string{"first aid", "lift test"}, true},
		{"W", "Line-clearance crew", 1 + n/250_000, 3, "ground lift line_clearance", 15000, 3600, 15000, "insulated lift, chipper", []string{"first aid", "lift test", "line clearance"}, false},
	}
	return func(yield func(Entry) bool) {
		for _, g := range groups {
			for k := range g.count {
				tickets := ""
				for j, t := range g.tickets {
					expires := c.req.Today.AddDays(120 + 37*((k*5+j*11)%13))
					if g.lastMayBeStale && k == g.count-1 && t == "lift test" {
						expires = c.req.Today.AddDays(-21)
					}
					if j > 0 {
						tickets += "; "
					}
					tickets += t + "=" + expires.String()
				}
				values := []any{
					fmt.Sprintf("%s%d", g.letter, k+1), fmt.Sprintf("%s %d", g.name, k+1), fmt.Sprintf("Y%d", 1+k%c.depotCount()),
					int64(g.people), g.skills, g.truck, g.high, g.weight, int64(420), int64(480), int64(45), int64(30), int64(31), g.equipment, tickets,
				}
				if !yield(Entry{Row: scheduler.Row{Values: values}}) {
					return
				}
			}
		}
	}
}
