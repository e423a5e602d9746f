package geo

import (
	"math/big"
	"math/rand/v2"
	"strconv"
	"testing"
)

// TestNearFindsAllWithinReach compares the grid with looking at every feature.
func TestNearFindsAllWithinReach(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	const reach, side = 15.0, 600.0
	var paths []Path
	n := newNear(reach)
	for i := range 200 {
		p := Point{r.Float64()*side - side/2, r.Float64()*side - side/2}
		pts := []Point{p}
		for range r.IntN(4) {
			p = p.Add(Point{r.Float64()*200 - 100, r.Float64()*200 - 100})
			pts = append(pts, p)
		}
		if i == 0 {
			pts = append(pts, Point{90_000, -70_000}) // a vertex gone astray
		}
		paths = append(paths, NewPath(pts))
		n.add(int32(i), &paths[i])
	}
	met, offered := 0, 0
	for range 5000 {
		q := Point{r.Float64()*side - side/2, r.Float64()*side - side/2}
		seen := map[int32]int{}
		n.each(q, func(i int32) { seen[i]++ })
		offered += len(seen)
		for i := range paths {
			within := paths[i].Distance(q) <= reach
			if within {
				met++
			}
			if within && seen[int32(i)] == 0 || seen[int32(i)] > 1 {
				t.Fatalf("%v: path %d within reach: %v, offered %d times", q, i, within, seen[int32(i)])
			}
			if within && paths[i].box.beyond(q, reach) {
				t.Fatalf("%v: path %d is within reach and beyond its box", q, i)
			}
		}
	}
	if met == 0 || offered > 4*met {
		t.Errorf("%d features offered for %d within reach", offered, met)
	}
}

// TestTenthsRoundLikeDecimals compares with decimal arithmetic on the 15 digits that the database keeps.
func TestTenthsRoundLikeDecimals(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 4))
	check := func(m float64) {
		t.Helper()
		d, ok := new(big.Rat).SetString(strconv.FormatFloat(m, 'g', 15, 64))
		if !ok {
			t.Fatal(m)
		}
		d.Mul(d, big.NewRat(10, 1)).Add(d, big.NewRat(1, 2))
		want := new(big.Int).Div(d.Num(), d.Denom()).Int64()
		if got := tenthsOf(m); got != want {
			t.Errorf("%.17g: %d tenths, want %d", m, got, want)
		}
	}
	for i := range 400 {
		half := float64(i)/10 + 0.05
		for _, off := range []float64{0, 1e-15, -1e-15, 4e-15, -4e-15, 1e-14, -1e-14, 1e-12, -1e-12, 1e-8, -1e-8, 1e-5, -1e-5} {
			check(max(0, half+off))
		}
		check(r.Float64() * 15)
	}
}
