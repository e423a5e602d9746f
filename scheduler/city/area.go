package city

import (
	"fmt"
	"iter"
	"math"

	"limbround/geo"
	"limbround/scheduler"
)

// extent is the land that districts cover: a rectangle in the river's frame,
// somewhat larger than the streets, cut into columns along the river and rows
// away from it. Rows are parted by curves that lie at a fixed share of the way
// from the bank to the rectangle's edge, so every cell is a simple polygon, and
// neighbours use the same vertices.
type extent struct {
	u0, u1, v0, v1 float64
	columns        int // of districts
	parts          int // vertices along one section
}

// A district has four columns and two rows of sections: one for each year of an
// eight-year calendar.
const (
	sectionColumns = 4
	sectionRows    = 2
)

var districtNames = []string{
	"Northgate", "Upper Millrace", "Lantern Hill", "Orchard Rise", "Harborside", "Old Port", "Quayside", "Foundry Flats",
	"South Shore", "Ropewalk", "Marshfield", "Lockkeepers",
}

func extentOf(streets []block, r river) extent {
	e := extent{u0: math.Inf(1), u1: math.Inf(-1), v0: math.Inf(1), v1: math.Inf(-1), columns: 3}
	for i := range streets {
		for _, p := range streets[i].Line {
			q := r.uv(p)
			e.u0, e.u1 = min(e.u0, q.X), max(e.u1, q.X)
			e.v0, e.v1 = min(e.v0, q.Y), max(e.v1, q.Y)
		}
	}
	const margin = 200
	e.u0, e.u1, e.v0, e.v1 = e.u0-margin, e.u1+margin, e.v0-margin, e.v1+margin
	if len(streets) > 5000 {
		e.columns = 4
	}
	e.parts = min(max(int((e.u1-e.u0)/float64(e.columns*sectionColumns)/60), 2), 40)
	if r.half > 0 { // the banks must stay inside even where they swing widest
		for i := range 400 {
			m := r.mid(e.u0 + (e.u1-e.u0)*float64(i)/399)
			e.v0, e.v1 = min(e.v0, m-r.half-margin), max(e.v1, m+r.half+margin)
		}
	}
	return e
}

// share is one district: a column on one bank between two shares of the way
// from the bank to the edge.
type share struct {
	column int
	bank   float64 // 1 or -1
	t0, t1 float64
}

// shares lists the districts: two rows on the broad bank, one on the other.
func (c *City) shares() []share {
	var out []share
	for _, bank := range []float64{1, -1} {
		rows := 1
		if bank > 0 && len(c.streets) > 600 {
			rows = 2
		}
		for row := range rows {
			for column := range c.extent.columns {
				out = append(out, share{column, bank, float64(row) / float64(rows), float64(row+1) / float64(rows)})
			}
		}
	}
	return out
}

// polygon is the cell between section columns i0 and i1 and shares t0 and t1.
func (c *City) polygon(bank float64, i0, i1 int, t0, t1 float64) geo.Shape {
	e, r := &c.extent, &c.river
	total := e.columns * sectionColumns * e.parts
	edge := e.v1
	if bank < 0 {
		edge = e.v0
	}
	at := func(k int, t float64) geo.Point {
		u := e.u0 + (e.u1-e.u0)*float64(k)/float64(total)
		lo := r.mid(u) + bank*r.half
		return c.lonLat(r.xy(geo.Point{X: u, Y: lo + t*(edge-lo)}))
	}
	var ring []geo.Point
	for k := i0 * e.parts; k <= i1*e.parts; k++ {
		ring = append(ring, at(k, t0))
	}
	for k := i1 * e.parts; k >= i0*e.parts; k-- {
		ring = append(ring, at(k, t1))
	}
	return geo.NewArea(4326, [][]geo.Point{append(ring, ring[0])})
}

func (c *City) districts() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		for i, s := range c.shares() {
			shape := c.polygon(s.bank, s.column*sectionColumns, (s.column+1)*sectionColumns, s.t0, s.t1)
			values := []any{fmt.Sprintf("D%02d", i+1), districtNames[i]}
			if !yield(Entry{Row: scheduler.Row{Values: values, Shape: shape}}) {
				return
			}
		}
	}
}

func (c *City) sections() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		for i, s := range c.shares() {
			for k := range sectionColumns * sectionRows {
				column := s.column*sectionColumns + k%sectionColumns
				row := float64(k / sectionColumns)
				mid := (s.t1 - s.t0) / sectionRows
				shape := c.polygon(s.bank, column, column+1, s.t0+row*mid, s.t0+(row+1)*mid)
				values := []any{fmt.Sprintf("D%02d-%d", i+1, k+1), fmt.Sprintf("%s %d", districtNames[i], k+1), int64(k + 1)}
				if !yield(Entry{Row: scheduler.Row{Values: values, Shape: shape}}) {
					return
				}
			}
		}
	}
}
