package city

import (
	"fmt"
	"iter"
	"math"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
)

// block is one block with what houses and wires along its street share.
type block struct {
	scheduler.Street
	key     int // blocks of one street share it
	hundred int // first house number
}

func (s *block) half() float64 { return s.Width.M() / 2 }

// withDefaults fills in what a file did not say, by class.
func withDefaults(s scheduler.Street) scheduler.Street {
	d := usual(s.Class)
	if s.OneWay == "" {
		s.OneWay = "no"
	}
	if s.Parking == "" {
		s.Parking = "none"
	}
	if s.SpeedKmh == 0 {
		s.SpeedKmh = d.SpeedKmh
	}
	if s.Width <= 0 {
		s.Width = d.Width
	}
	if s.Lanes == 0 {
		s.Lanes = d.Lanes
	}
	if s.MaxHeight == 0 {
		s.MaxHeight = geo.None
	}
	return s
}

// usual is the cross-section of a class: two- and four-lane streets of common
// practice with 3.4 m lanes and 2.4 m parking lanes.
func usual(c scheduler.StreetClass) scheduler.Street {
	switch c {
	case scheduler.Arterial:
		return scheduler.Street{SpeedKmh: 56, Width: 14000, Lanes: 4}
	case scheduler.Collector:
		return scheduler.Street{SpeedKmh: 48, Width: 11200, Lanes: 2}
	case scheduler.Alley:
		return scheduler.Street{SpeedKmh: 16, Width: 4800, Lanes: 1}
	default:
		return scheduler.Street{SpeedKmh: 40, Width: 9100, Lanes: 2}
	}
}

func length(line []geo.Point) float64 {
	sum := 0.0
	for i := 1; i < len(line); i++ {
		sum += line[i-1].Distance(line[i])
	}
	return sum
}

// along is the point at s metres from the start of the line and the unit
// vector of its direction there.
func along(line []geo.Point, s float64) (p, dir geo.Point) {
	for i := 1; i < len(line); i++ {
		d := line[i-1].Distance(line[i])
		if (s <= d || i == len(line)-1) && d > 0 {
			dir = line[i].Sub(line[i-1]).Scale(1 / d)
			return line[i-1].Add(dir.Scale(s)), dir
		}
		s -= d
	}
	return line[0], geo.Point{X: 1}
}

// left is the unit vector to the left of dir.
func left(dir geo.Point) geo.Point { return geo.Point{X: -dir.Y, Y: dir.X} }

// offset is the line moved d metres to the left (negative to the right), each
// inner vertex along its bisector, between arc lengths s0 and s1.
func offset(line []geo.Point, d, s0, s1 float64) []geo.Point {
	p, dir := along(line, s0)
	out := []geo.Point{p.Add(left(dir).Scale(d))}
	s := 0.0
	for i := 1; i < len(line)-1; i++ {
		s += line[i-1].Distance(line[i])
		if s <= s0+1 || s >= s1-1 {
			continue
		}
		_, in := along(line[i-1:i+1], 0)
		_, on := along(line[i:i+2], 0)
		b := left(in).Add(left(on))
		out = append(out, line[i].Add(b.Scale(2*d/max(b.X*b.X+b.Y*b.Y, 1))))
	}
	p, dir = along(line, s1)
	return append(out, p.Add(left(dir).Scale(d)))
}

func bounds(streets []block) (lo, hi geo.Point) {
	lo = geo.Point{X: math.Inf(1), Y: math.Inf(1)}
	hi = lo.Scale(-1)
	for i := range streets {
		for _, p := range streets[i].Line {
			lo = geo.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
			hi = geo.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	return lo, hi
}

// Window returns the streets that lie wholly within radius metres of a point,
// all in the same metric system.
func Window(streets []scheduler.Street, around geo.Point, radius float64) []scheduler.Street {
	var in []scheduler.Street
next:
	for _, s := range streets {
		for _, p := range s.Line {
			if p.Distance(around) > radius {
				continue next
			}
		}
		in = append(in, s)
	}
	return in
}

// number gives each block its ref and its hundred: blocks of one street stand
// in order along it.
func number(streets []block) {
	seen := map[int]int{}
	for i := range streets {
		s := &streets[i]
		seen[s.key]++
		s.Ref = fmt.Sprintf("S%06d", i+1)
		s.hundred = 100 * seen[s.key]
	}
}

// numberByPlace numbers the houses of a given network by their distance from
// the south-west, so that numbers rise along every street.
func numberByPlace(streets []block) {
	lo, _ := bounds(streets)
	keys := map[string]int{}
	for i := range streets {
		s := &streets[i]
		if _, known := keys[s.Name]; !known {
			keys[s.Name] = len(keys)
		}
		s.key = keys[s.Name]
		a, b := s.Line[0], s.Line[len(s.Line)-1]
		d := min(a.X, b.X) - lo.X
		if math.Abs(a.Y-b.Y) > math.Abs(a.X-b.X) {
			d = min(a.Y, b.Y) - lo.Y
		}
		s.hundred = 100 + 2*int(d/12)
	}
}

// address is the postal address of a place s metres along the block; odd
// numbers stand on the left. It is empty on a street without a name.
func (s *block) address(at float64, onLeft bool) string {
	if s.Name == "" {
		return ""
	}
	n := s.hundred + 2*int(min(at, 588)/12)
	if onLeft {
		n++
	}
	return fmt.Sprintf("%d %s", n, s.Name)
}

func (c *City) streetRows() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		for i := range c.streets {
			s := &c.streets[i]
			shape := geo.NewLine(4326, c.lonLats(s.Line))
			if !yield(Entry{Row: scheduler.Row{Values: s.values(), Shape: shape}}) {
				return
			}
		}
	}
}

func (s *block) values() []any {
	var weight any
	if s.MaxWeightKg > 0 {
		weight = int64(s.MaxWeightKg)
	}
	return []any{
		s.Ref, orNil(strings.TrimSpace(s.Name)), string(s.Class), s.OneWay, int64(s.SpeedKmh), s.Width, int64(s.Lanes), s.Parking,
		s.Bus, s.Truck, s.Bridge, known(s.MaxHeight), weight,
	}
}

func orNil(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func known(l geo.Length) any {
	if !l.Known() {
		return nil
	}
	return l
}
