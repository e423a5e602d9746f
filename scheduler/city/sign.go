package city

import (
	"fmt"
	"iter"

	"limbround/geo"
	"limbround/scheduler"
)

// lamp is a street light: metres along the block and which side.
type lamp struct {
	at     float64
	onLeft bool
}

const lampOut = 0.5 // curb to post, metres

// lamps stand about every 45 m, on alternate sides.
func (c *City) lamps(i int) []lamp {
	s := &c.streets[i]
	if !s.built() {
		return nil
	}
	r := draw(c.req.Seed, streamLight, i)
	total := length(s.Line)
	onLeft := chance(r, 0.5)
	var out []lamp
	for at := between(r, 16, 26); at < total-14; at += between(r, 42, 48) {
		out = append(out, lamp{at, onLeft})
		onLeft = !onLeft
	}
	return out
}

func (c *City) signs() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		at := corners(c.streets)
		for i := range c.streets {
			for _, e := range c.signsOf(i, at) {
				if !yield(e) {
					return
				}
			}
		}
	}
}

// signsOf lists what stands along a block: lights, and at each end a signal or
// a stop sign to the right of whoever arrives.
func (c *City) signsOf(i int, at map[geo.Point][]int) []Entry {
	s := &c.streets[i]
	r := draw(c.req.Seed, streamLight, -1-i)
	var out []Entry
	post := func(kind string, height geo.Length, s0 float64, onLeft bool, outFrom float64) {
		p, dir := along(s.Line, s0)
		d := s.half() + outFrom
		if !onLeft {
			d = -d
		}
		out = append(out, Entry{Row: scheduler.Row{
			Values: []any{fmt.Sprintf("G%06d-%d", i+1, len(out)+1), kind, height},
			Shape:  geo.NewPoint(4326, c.lonLat(p.Add(left(dir).Scale(d)))),
		}})
	}
	for _, l := range c.lamps(i) {
		post("light", geo.Length(100*(75+r.IntN(20))), l.at, l.onLeft, lampOut)
	}
	total := length(s.Line)
	for end, p := range []geo.Point{s.Line[0], s.Line[len(s.Line)-1]} {
		arrives := s.OneWay != []string{"forward", "backward"}[end]
		kind, clear := c.control(i, at[p])
		if !arrives || kind == "" || total < 2*clear+4 {
			continue
		}
		height := geo.Length(2100)
		if kind == "signal" {
			height = 5200
		}
		post(kind, height, []float64{clear, total - clear}[end], end == 0, 0.6)
	}
	if s.built() && s.Parking != "none" && total > 70 && chance(r, 0.5) {
		post("sign", 2100, total*between(r, 0.4, 0.6), chance(r, 0.5), 0.5)
	}
	return out
}

// control tells how traffic that arrives on block i is held at a junction and
// how far from its middle the post stands.
func (c *City) control(i int, meet []int) (kind string, clear float64) {
	if len(meet) < 3 {
		return "", 0
	}
	mine := rank(c.streets[i].Class)
	best, second := 9, 9
	for _, j := range meet {
		clear = max(clear, c.streets[j].half()+3)
		k := rank(c.streets[j].Class)
		if c.streets[j].key == c.streets[i].key {
			k = mine
		}
		switch {
		case k < best:
			best, second = k, best
		case k > best:
			second = min(second, k)
		}
	}
	switch {
	case best == 0 && second <= 1 && mine <= 1:
		return "signal", clear
	case mine > best, second == 9 && c.streets[i].key == c.yields(meet):
		return "stop", clear
	}
	return "", clear
}

// yields is the street that stops where streets of one class meet.
func (c *City) yields(meet []int) int {
	key := c.streets[meet[0]].key
	for _, j := range meet {
		key = max(key, c.streets[j].key)
	}
	return key
}
