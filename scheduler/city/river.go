package city

import (
	"math"

	"limbround/geo"
)

// river is a band along the u axis of a turned frame: its middle is v = mid(u),
// a sum of two waves, and its banks lie half above and below. Because each bank
// is the graph of a function, which side a point is on is one comparison, and
// districts can follow the water exactly.
type river struct {
	turn   float64 // from the x axis to the u axis, radians
	half   float64 // half its breadth, measured along v, metres; 0 is no water
	offset float64
	waves  [2]wave
}

type wave struct{ height, length, phase float64 }

// quay is the distance of the riverside drive from the water.
const quay = 40.0

// dry is the river of a city that has none: the line that parts the districts.
func dry() river { return river{} }

func newRiver(seed uint64, radius float64) river {
	r := draw(seed, streamHood, -1)
	return river{
		turn:   between(r, -0.5, -0.2),
		half:   min(20+radius*0.01, 90),
		offset: -radius * between(r, 0.22, 0.3),
		waves: [2]wave{
			{radius * 0.11, radius * between(r, 1.7, 2.2), between(r, 0, 2*math.Pi)},
			{radius * 0.03, radius * between(r, 0.6, 0.8), between(r, 0, 2*math.Pi)},
		},
	}
}

// uv and xy turn between the city's frame and the river's.
func (r river) uv(p geo.Point) geo.Point { return turned(p, -r.turn) }
func (r river) xy(p geo.Point) geo.Point { return turned(p, r.turn) }

func turned(p geo.Point, by float64) geo.Point {
	s, c := math.Sincos(by)
	return geo.Point{X: p.X*c - p.Y*s, Y: p.X*s + p.Y*c}
}

// mid is the middle of the river at u.
func (r river) mid(u float64) float64 {
	v := r.offset
	for _, w := range r.waves {
		if w.length > 0 {
			v += w.height * math.Sin(2*math.Pi*u/w.length+w.phase)
		}
	}
	return v
}

// beside is how far p lies from the middle along v: positive on the far bank.
func (r river) beside(p geo.Point) float64 {
	q := r.uv(p)
	return q.Y - r.mid(q.X)
}

// wet reports whether p lies in the river or on the very bank. Junctions on a
// riverside drive are never that near: quay is larger than snap.
func (r river) wet(p geo.Point) bool {
	return r.half > 0 && math.Abs(r.beside(p)) < r.half+6
}

// between reports whether p lies between the two riverside drives: streets
// have no junctions there.
func (r river) between(p geo.Point) bool {
	return r.half > 0 && math.Abs(r.beside(p)) < r.half+quay
}

// bank samples the curve v = mid(u) + off from u0 to u1.
func (r river) bank(u0, u1, step, off float64) []geo.Point {
	n := max(int(math.Ceil((u1-u0)/step)), 1)
	pts := make([]geo.Point, n+1)
	for i := range pts {
		u := u0 + (u1-u0)*float64(i)/float64(n)
		pts[i] = r.xy(geo.Point{X: u, Y: r.mid(u) + off})
	}
	return pts
}
