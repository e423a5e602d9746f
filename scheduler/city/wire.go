package city

import (
	"fmt"
	"iter"

	"limbround/geo"
	"limbround/scheduler"
)

// span is the overhead line along one side of a block.
type span struct {
	class  scheduler.WireClass // scheduler.WireNone: no line
	volts  int                 // to ground, 0 for not stated
	height geo.Length          // lowest conductor
	comms  geo.Length          // height of a communication line on the same poles, geo.None for none
	onLeft bool
	out    float64 // curb to line, metres
	drop   bool    // a service drop crosses the street
}

// span draws the line of a block; blocks of one street share it.
func (c *City) span(i int) span {
	s := &c.streets[i]
	none := span{class: scheduler.WireNone, comms: geo.None}
	if s.Bridge || s.Name == weir {
		return none
	}
	r := draw(c.req.Seed, streamWire, s.key)
	w := span{onLeft: chance(r, 0.5), out: between(r, 0.3, 1.2), comms: geo.Metres(between(r, 5.2, 5.8))}
	u := r.Float64()
	high := geo.Metres(between(r, 9, 11))
	low := geo.Metres(between(r, 6.4, 7.8))
	switch s.Class {
	case scheduler.Arterial, scheduler.Collector:
		switch {
		case u < 0.38:
			w.class, w.volts, w.height = scheduler.WirePrimary, 7200, high
		case u < 0.40:
			w.class, w.height = scheduler.WireUnknown, high
		default:
			return none
		}
	case scheduler.Residential:
		switch {
		case u < 0.28:
			w.class, w.volts, w.height = scheduler.WireSecondary, 120, low
			w.drop = draw(c.req.Seed, streamWire, -1-i).Float64() < 0.3
		case u < 0.38:
			w.class, w.height, w.comms = scheduler.WireComms, w.comms, geo.None
		default:
			return none
		}
	default:
		if u > 0.5 {
			return none
		}
		w.class, w.volts, w.height = scheduler.WireSecondary, 120, low
	}
	return w
}

// over reports whether power lines hang over the trees of one side.
func (w *span) over(onLeft bool) bool {
	return w.onLeft == onLeft && w.class != scheduler.WireNone && w.class != scheduler.WireComms
}

func (c *City) wires() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		for i := range c.streets {
			for _, e := range c.wiresOf(i) {
				if !yield(e) {
					return
				}
			}
		}
	}
}

func (c *City) wiresOf(i int) []Entry {
	w := c.span(i)
	if w.class == scheduler.WireNone {
		return nil
	}
	s := &c.streets[i]
	total := length(s.Line)
	d := s.half() + w.out
	if !w.onLeft {
		d = -d
	}
	line := c.lonLats(offset(s.Line, d, 0, total))
	wire := func(letter string, class scheduler.WireClass, volts int, height geo.Length, line []geo.Point) Entry {
		var v any
		if volts > 0 {
			v = int64(volts)
		}
		return Entry{Row: scheduler.Row{
			Values: []any{fmt.Sprintf("W%06d%s", i+1, letter), string(class), v, height},
			Shape:  geo.NewLine(4326, line),
		}}
	}
	out := []Entry{wire("", w.class, w.volts, w.height, line)}
	if w.comms.Known() {
		out = append(out, wire("c", scheduler.WireComms, 0, w.comms, line))
	}
	if w.drop {
		p, dir := along(s.Line, total/2)
		across := c.lonLats([]geo.Point{p.Add(left(dir).Scale(d)), p.Add(left(dir).Scale(-1.6 * d))})
		out = append(out, wire("s", scheduler.WireService, 120, w.height-800, across))
	}
	return out
}
