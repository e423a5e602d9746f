package geo

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestRegionCovers(t *testing.T) {
	square := func(x, y, size float64) []Point {
		return []Point{{x, y}, {x + size, y}, {x + size, y + size}, {x, y + size}, {x, y}}
	}
	r := NewRegion([][][]Point{{square(0, 0, 10), square(4, 4, 2)}, {square(20, 0, 5)}})
	for q, want := range map[Point]bool{
		{1, 1}: true, {5, 5}: false, {4, 5}: true, {6, 6}: true, {0, 0}: true, {10, 3}: true, {10.0001, 3}: false,
		{5, 0}: true, {5, -0.0001}: false, {22, 1}: true, {25, 5}: true, {15, 2}: false, {-1, 10}: false, {11, 10}: false,
	} {
		if got := r.Covers(q); got != want {
			t.Errorf("%v covered: %v", q, got)
		}
	}
	if none := NewRegion(nil); none.Covers(Point{1, 1}) {
		t.Error("an empty region covers a point")
	}
}

// TestRegionAgainstAngles compares with another definition: the angles under
// which a point inside sees the ring's edges add up to a full turn, outside to none.
func TestRegionAgainstAngles(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	inside := 0
	for range 100 {
		var star []Point // around 0, 0, never crossing itself
		n := 3 + r.IntN(60)
		for i := range n {
			turn, out := 2*math.Pi*float64(i)/float64(n), 10+r.Float64()*90
			star = append(star, Point{out * math.Cos(turn), out * math.Sin(turn)})
		}
		star = append(star, star[0])
		region := NewRegion([][][]Point{{star}})
		for range 100 {
			q := Point{r.Float64()*200 - 100, r.Float64()*200 - 100}
			sum := 0.0
			for i := 1; i < len(star); i++ {
				a, b := star[i-1].Sub(q), star[i].Sub(q)
				sum += math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)
			}
			want := math.Abs(sum) > math.Pi
			if want {
				inside++
			}
			if got := region.Covers(q); got != want {
				t.Fatalf("%v in %v: %v, the angles add up to %v", q, star, got, sum)
			}
		}
	}
	if inside < 1000 || inside > 9000 {
		t.Errorf("%d of 10,000 points are inside: the test is lopsided", inside)
	}
}
