// Package city invents a city for demonstrations, tests and measurements:
// streets, walks, wires, signs, districts, crews, street trees and their past.
// Nothing in it is a real place, person or firm. The same request gives the
// same rows, and trees are made block by block, so that a city of a million
// trees needs memory for its streets only.
//
// With Streets in the request the network is taken from there and the rest is
// invented along it.
package city

import (
	"iter"
	"slices"

	"limbround/geo"
	"limbround/scheduler"
)

// Name is the invented city's name.
const Name = "Port Larkin"

// homeSRID is the metric system of the invented city: UTM zone 16 north. Its
// climate is that of the Lower Midwest.
const homeSRID = 32616

// centre is the middle of the invented city in longitude and latitude.
var centre = geo.Point{X: -85.2, Y: 40.1}

// HandMade is the ref of the one tree that is not drawn by lot: a crabapple
// with two stems beside a bus lane, planted seven years ago and never visited.
const HandMade = "PL-000001"

// Request says which city to make.
type Request struct {
	Trees   int                // number of tree rows, planted duplicates not counted
	Seed    uint64             // same seed and Today, same city
	Today   scheduler.Date     // planting ends in the last full autumn before it
	Messy   bool               // plant faults in about three rows of a hundred
	Streets []scheduler.Street // a network to build on, in metres of SRID; nil invents one
	SRID    int                // UTM zone of Streets; ignored without them
}

// City is a made city: its streets and the recipe for everything on them.
type City struct {
	req     Request
	grid    geo.UTM
	origin  geo.Point // metric position of the local origin
	river   river
	extent  extent
	streets []block // lines in local metres
	index   *index
	plots   []int // trees to stand on each block, the hand-made one apart
	special special
	species []kind
}

// Entry is one row of a layer's file. Values follow the layer's fields, as
// scheduler.FieldKind describes them, except that a date of planting and every
// planted fault is the text that stands in the file. Row.Line counts rows from 1.
type Entry struct {
	Row    scheduler.Row
	Faults []Fault
}

// Make lays out the city. The errors are scheduler.Invalid for a request out of
// range and scheduler.Infeasible when the streets have no room for the trees.
func Make(r Request) (*City, error) {
	if r.Trees < 1 || r.Trees > 5_000_000 {
		return nil, scheduler.Errorf(scheduler.Invalid, "trees %d: want 1 to 5000000", r.Trees)
	}
	if r.Today < scheduler.NewDate(1950, 1, 1) {
		return nil, scheduler.Errorf(scheduler.Invalid, "today %q: want a date from 1950 on", r.Today.String())
	}
	c := &City{req: r, species: kinds()}
	if err := c.lay(); err != nil {
		return nil, err
	}
	c.index = newIndex(c.streets)
	c.extent = extentOf(c.streets, c.river)
	if err := c.choosePlace(); err != nil {
		return nil, err
	}
	return c, c.allot()
}

// lay makes or takes the street network, in local metres.
func (c *City) lay() error {
	if len(c.req.Streets) > 0 {
		return c.take()
	}
	grid, err := geo.NewUTM(homeSRID)
	if err != nil {
		return err
	}
	c.grid, c.origin = grid, grid.Forward(centre)
	n := newNetwork(c.req.Seed, c.req.Trees)
	c.river = n.river
	c.streets = connected(n.streets(), true)
	number(c.streets)
	return nil
}

// take centres a given network on its own extent and keeps what a car can
// reach and leave again.
func (c *City) take() error {
	grid, err := geo.NewUTM(c.req.SRID)
	if err != nil {
		return scheduler.Wrap(scheduler.Invalid, "streets", err)
	}
	given := make([]block, 0, len(c.req.Streets))
	for _, s := range c.req.Streets {
		if len(s.Line) >= 2 && length(s.Line) >= 1 {
			given = append(given, block{Street: withDefaults(s)})
		}
	}
	c.streets = connected(given, false)
	if len(c.streets) == 0 {
		return scheduler.Errorf(scheduler.Infeasible, "streets: none of the %d blocks can be reached and left by car", len(c.req.Streets))
	}
	lo, hi := bounds(c.streets)
	c.grid, c.origin, c.river = grid, lo.Add(hi).Scale(0.5), dry()
	for i := range c.streets {
		line := slices.Clone(c.streets[i].Line)
		for k := range line {
			line[k] = line[k].Sub(c.origin)
		}
		c.streets[i].Line = line
	}
	numberByPlace(c.streets)
	return nil
}

// lonLat takes a local position to longitude and latitude.
func (c *City) lonLat(p geo.Point) geo.Point { return c.grid.Inverse(p.Add(c.origin)) }

func (c *City) lonLats(pts []geo.Point) []geo.Point {
	out := make([]geo.Point, len(pts))
	for i, p := range pts {
		out[i] = c.lonLat(p)
	}
	return out
}

// SRID is the metric coordinate system that suits the city.
func (c *City) SRID() int { return c.grid.SRID() }

// Corner says where the hand-made tree stands, for people: "214 Weir Street, near Foundry Avenue".
func (c *City) Corner() string { return c.special.corner }

// Rows makes the rows of a layer, in order. Trees and history come together
// from Trees; for those two names and for unknown ones there are no rows.
func (c *City) Rows(layer string) iter.Seq[Entry] {
	var rows iter.Seq[Entry]
	switch layer {
	case "districts":
		rows = c.districts()
	case "sections":
		rows = c.sections()
	case "streets":
		rows = c.streetRows()
	case "walks":
		rows = c.walks()
	case "wires":
		rows = c.wires()
	case "signs":
		rows = c.signs()
	case "depots":
		rows = c.depots()
	case "dumps":
		rows = c.dumps()
	case "crews":
		rows = c.crews()
	default:
		return func(func(Entry) bool) {}
	}
	return numbered(layer, c.spoil(layer, rows))
}

// numbered counts the rows and tells each fault the row it stands in.
func numbered(layer string, rows iter.Seq[Entry]) iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		n := 0
		for e := range rows {
			n++
			if !yield(e.at(layer, n)) {
				return
			}
		}
	}
}

func (e Entry) at(layer string, row int) Entry {
	e.Row.Line = row
	for i := range e.Faults {
		e.Faults[i].Layer, e.Faults[i].Row = layer, row
	}
	return e
}
