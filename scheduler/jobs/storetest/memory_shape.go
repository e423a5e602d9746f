package storetest

import (
	"math"

	"limbround/geo"
)

// nearest is the distance from p to a line, and how far along the line its
// nearest point lies, in metres.
func nearest(line []geo.Point, p geo.Point) (away, along float64) {
	away = math.Inf(1)
	walked := 0.0
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		length := a.Distance(b)
		t := 0.0
		if way, to := b.Sub(a), p.Sub(a); length > 0 {
			t = min(1, max(0, (way.X*to.X+way.Y*to.Y)/(length*length)))
		}
		if d := a.Add(b.Sub(a).Scale(t)).Distance(p); d < away {
			away, along = d, walked+t*length
		}
		walked += length
	}
	return away, along
}

func lengthOf(line []geo.Point) float64 {
	sum := 0.0
	for i := 1; i < len(line); i++ {
		sum += line[i-1].Distance(line[i])
	}
	return sum
}

// pointAt is the point of a line that lies so many metres along it.
func pointAt(line []geo.Point, along float64) geo.Point {
	for i := 1; i < len(line); i++ {
		length := line[i-1].Distance(line[i])
		if along <= length && length > 0 {
			return line[i-1].Add(line[i].Sub(line[i-1]).Scale(along / length))
		}
		along -= length
	}
	return line[len(line)-1]
}

// areaAt is the oldest area of a layer that covers the point, its edge included.
func (s *state) areaAt(layer string, p geo.Point) *item {
	for _, it := range s.layer(layer) {
		for _, rings := range it.at.parts {
			if covers(rings, p) {
				return &it
			}
		}
	}
	return nil
}

// covers counts how often a ray from p to the east meets the rings: an odd
// number of times from inside the area.
func covers(rings [][]geo.Point, p geo.Point) bool {
	inside := false
	for _, ring := range rings {
		if away, _ := nearest(ring, p); away == 0 {
			return true
		}
		for i := 1; i < len(ring); i++ {
			a, b := ring[i-1], ring[i]
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
				inside = !inside
			}
		}
	}
	return inside
}

// area is the sum of the parts in square metres, by the shoelace formula; a
// hole takes away.
func (g *ground) area() float64 {
	total := 0.0
	for _, rings := range g.parts {
		for n, ring := range rings {
			sum := 0.0
			for i := 1; i < len(ring); i++ {
				a, b := ring[i-1].Sub(ring[0]), ring[i].Sub(ring[0])
				sum += (a.X*b.Y - b.X*a.Y) / 2
			}
			if sum = math.Abs(sum); n > 0 {
				sum = -sum
			}
			total += sum
		}
	}
	return total
}

// place takes a shape to the city's metres; ok is false when it has no place there.
func place(s geo.Shape, srid int) (g ground, ok bool) {
	zone, err := geo.NewUTM(srid)
	to := func(list []geo.Point) []geo.Point {
		out := make([]geo.Point, len(list))
		for i, p := range list {
			if out[i] = p; s.SRID() == 4326 {
				out[i] = zone.Forward(p)
			}
			ok = ok && out[i].Valid() && math.Abs(out[i].X) < 1e8 && math.Abs(out[i].Y) < 1e8
		}
		return out
	}
	ok = err == nil && (s.SRID() == srid || s.SRID() == 4326)
	if s.Kind() != geo.ShapeArea {
		return ground{pts: to(s.Points())}, ok
	}
	for _, rings := range s.Parts() {
		var part [][]geo.Point
		for _, r := range rings {
			part = append(part, to(r))
		}
		g.parts = append(g.parts, part)
	}
	return g, ok
}
