package geo

import (
	"math"
	"testing"
)

// Expected values by hand, from triangles with whole sides.
func TestPathQuestions(t *testing.T) {
	hook := NewPath([]Point{{0, 0}, {30, 0}, {30, 40}})
	spike := NewPath([]Point{{0, 0}, {20, 0}, {10, 0}}) // runs back over itself
	dot := NewPath([]Point{{5, 5}, {5, 5}})
	for _, c := range []struct {
		name       string
		p          Path
		q          Point
		away, at   float64
		onTheLeft  bool
		atTheShare Point
	}{
		{"left of the first piece", hook, Point{12, 5}, 5, 12.0 / 70, true, Point{12, 0}},
		{"right of it", hook, Point{12, -5}, 5, 12.0 / 70, false, Point{12, 0}},
		{"before the start", hook, Point{-3, -4}, 5, 0, false, Point{0, 0}},
		{"beyond the end", hook, Point{33, 44}, 5, 1, false, Point{30, 40}},
		{"outside the bend", hook, Point{36, -8}, 10, 30.0 / 70, false, Point{30, 0}},
		{"inside the bend, as far from both pieces", hook, Point{25, 5}, 5, 25.0 / 70, true, Point{25, 0}},
		{"on the line", hook, Point{30, 10}, 0, 40.0 / 70, true, Point{30, 10}},
		{"where it runs back: the way out counts", spike, Point{15, 3}, 3, 0.5, true, Point{15, 0}},
		{"a line without length", dot, Point{8, 9}, 5, 0, true, Point{5, 5}},
	} {
		away, at := c.p.Distance(c.q), c.p.Locate(c.q)
		if math.Abs(away-c.away) > 1e-12 || math.Abs(at-c.at) > 1e-12 {
			t.Errorf("%s: %v away at %v, want %v at %v", c.name, away, at, c.away, c.at)
		}
		if left := c.p.left(c.q, at); left != c.onTheLeft {
			t.Errorf("%s: left is %v", c.name, left)
		}
		if p := c.p.At(at); p.Distance(c.atTheShare) > 1e-9 {
			t.Errorf("%s: at %v lies %v, want %v", c.name, at, p, c.atTheShare)
		}
	}
	if none := (&Path{}).Distance(Point{1, 1}); !math.IsNaN(none) {
		t.Errorf("a distance to nowhere is %v", none)
	}
}
