package growth

import (
	"math"
	"testing"
)

func everyRise(t *testing.T, check func(t *testing.T, name string, r *rise)) {
	t.Helper()
	n := 0
	for region, sets := range load(t).regions {
		for _, s := range sets {
			rises := map[string]*rise{"height": &s.height}
			if s.kind != palm {
				rises["dbh"], rises["crown"] = &s.dbh, &s.crown
			}
			for what, r := range rises {
				n++
				check(t, region+" "+s.name+" "+what, r)
			}
		}
	}
	if n != 3*334+16 {
		t.Errorf("%d curves looked at", n)
	}
}

func TestEveryCurveIsMonotoneAfterClamping(t *testing.T) {
	everyRise(t, func(t *testing.T, name string, r *rise) {
		const steps = 4000
		before := math.Inf(-1)
		for i := -100; i <= steps+100; i++ { // and past both ends
			x := r.lo + (r.hi-r.lo)*float64(i)/steps
			y := r.at(x)
			if math.IsNaN(y) || y < before-1e-9 || y < r.floor || y > r.ceil {
				t.Errorf("%s: %.9f after %.9f at %g, held between %g and %g", name, y, before, x, r.floor, r.ceil)
				return
			}
			before = max(before, y)
		}
	})
}

// From age to dbh and back, and from dbh to age and back, to a millionth of a
// year (of a centimetre for height and crown); on a flat to its least x.
func TestEveryInverseComesBackToAMillionth(t *testing.T) {
	everyRise(t, func(t *testing.T, name string, r *rise) {
		const steps = 300
		for i := range steps + 1 {
			x := r.lo + (r.hi-r.lo)*float64(i)/steps
			y := r.at(x)
			back := r.inverse(y)
			steep := (r.at(x+1e-3) - r.at(x-1e-3)) / 2e-3
			if steep > 1e-3 && onEquation(r, x) && math.Abs(back-x) > 1e-6 {
				t.Errorf("%s: the value at %.7f is reached at %.7f", name, x, back)
				return
			}
			if back > x+1e-6 {
				t.Errorf("%s: the value at %.7f is first reached at %.7f, which is later", name, x, back)
				return
			}
			if back > r.lo+1e-3 && r.at(back-1e-3) >= y {
				t.Errorf("%s: %.7f is reached at %.7f already, not first at %.7f", name, y, back-1e-3, back)
				return
			}
			want := r.at(r.lo) + (r.top-r.at(r.lo))*float64(i)/steps
			at := r.inverse(want)
			if got := r.at(at); math.Abs(got-want) > 1e-6*max(1, (r.at(at+1e-3)-r.at(at-1e-3))/2e-3) {
				t.Errorf("%s: %.9f comes back as %.9f, by %.7f", name, want, got, at)
				return
			}
		}
	})
}

// onEquation reports whether the rise is the bare equation around x, not a
// flat or a held end.
func onEquation(r *rise, x float64) bool {
	for i := range r.n {
		if x > r.flats[i].from-2e-3 && x < r.flats[i].to+2e-3 {
			return false
		}
	}
	y := r.eq.at(x)
	return y > r.floor && y < r.ceil && x > r.lo+2e-3 && x < r.hi-2e-3
}

func TestRiseHoldsAPeak(t *testing.T) {
	// x^3-6x^2+9x: a peak of 4 at 1, back at 4 for x = 4; on [0, 5].
	r := newRise(equation{cub, [5]float64{0, 9, -6, 1}}, 0, 5, [2]float64{0, 20})
	for _, tt := range [][2]float64{{-1, 0}, {0, 0}, {0.5, 3.125}, {1, 4}, {2, 4}, {3, 4}, {4, 4}, {4.5, 10.125}, {5, 20}, {9, 20}} {
		if got := r.at(tt[0]); math.Abs(got-tt[1]) > 1e-9 {
			t.Errorf("at %g: %g, want %g", tt[0], got, tt[1])
		}
	}
	for _, tt := range [][2]float64{{-1, 0}, {3.125, 0.5}, {4, 1}, {10.125, 4.5}, {99, 5}} {
		if got := r.inverse(tt[0]); math.Abs(got-tt[1]) > 1e-4 { // the peak is flat: its place is known to the root of the rounding
			t.Errorf("inverse of %g: %.7f, want %g", tt[0], got, tt[1])
		}
	}
}

func TestRiseHoldsItsEnds(t *testing.T) {
	below := newRise(equation{lin, [5]float64{-2, 1}}, 0, 10, [2]float64{0.5, 8}) // below the floor until 2.5
	for _, tt := range [][2]float64{{0, 0.5}, {2, 0.5}, {3, 1}, {10, 8}, {11, 8}} {
		if got := below.at(tt[0]); math.Abs(got-tt[1]) > 1e-9 {
			t.Errorf("at %g: %g, want %g", tt[0], got, tt[1])
		}
	}
	cut := newRise(equation{lin, [5]float64{0, 1}}, 0, 10, [2]float64{0, 7}) // the publication cut it at 7
	if got := cut.at(9); got != 7 {
		t.Errorf("cut curve at 9: %g, want 7", got)
	}
	if got := cut.inverse(7); math.Abs(got-7) > 1e-6 {
		t.Errorf("inverse of the cut: %g, want 7", got)
	}
	down := newRise(equation{lin, [5]float64{5, -1}}, 0, 3, [2]float64{2, 5})
	if got := down.at(3); got != 5 {
		t.Errorf("falling equation at its end: %g, want 5 throughout", got)
	}
}

func TestRestoreLostDigits(t *testing.T) {
	// Ulmus americana, PacfNW, height: printed 32.67 m at 138.55 cm.
	printed := equation{cub, [5]float64{1.86129, 0.61188, -0.00496, 0.00002}}
	if got := printed.at(138.55); math.Abs(got-44.62) > 0.01 {
		t.Errorf("printed equation gives %.2f m, want 44.62", got)
	}
	r := printed.restore(138.55, 32.67)
	if got := r.at(138.55); math.Abs(got-32.67) > 1e-9 {
		t.Errorf("restored equation gives %.4f m, want 32.67", got)
	}
	if d := math.Abs(r.c[3] - printed.c[3]); d > 5e-6 {
		t.Errorf("the cubic coefficient moved by %g, more than the rounding", d)
	}
	// Celtis occidentalis, LoMidW: cut at 82.11 cm where the line gives 116; no rounding does that.
	line := equation{lin, [5]float64{2.83867, 1.1325}}
	if got := line.restore(100, 82.11); got != line {
		t.Errorf("an unexplained end moved the equation to %v", got)
	}
}

// How many of the published ends the table gives back, as printed and with the
// lost digits restored.
func TestRestoreBringsEndsBack(t *testing.T) {
	var ends, asPrinted, restored int
	for _, sets := range load(t).regions {
		for _, s := range sets {
			if s.kind == palm {
				continue
			}
			at := [4]float64{s.maxAge, s.height.hi, s.height.hi, s.height.hi}
			used := [4]equation{s.dbh.eq, s.height.eq, s.crown.eq, s.crownHeight}
			for i := range at {
				ends++
				y := s.upper[i]
				if math.Abs(s.printed[i].at(at[i])-y) <= 0.01 {
					asPrinted++
				}
				if math.Abs(used[i].at(at[i])-y) <= 0.01 {
					restored++
				}
			}
		}
	}
	t.Logf("%d upper ends: %d as printed, %d restored", ends, asPrinted, restored)
	if ends != 4*334 || restored < 1200 || restored <= asPrinted {
		t.Errorf("%d ends, %d as printed, %d restored", ends, asPrinted, restored)
	}
}
