package growth

import "math"

// A tree does not get thinner or lower by growing, but the published
// polynomials turn over, some inside their own range. A rise is the least
// non-decreasing function that is nowhere below the equation (its running
// maximum), read on the published range only and held at its ends. Where the
// equation exceeds the published value at the upper end by more than rounding,
// the authors cut it there, and so does the rise.
//
// The running maximum is the equation itself but for a few flats, each from a
// peak to the point where the equation passes the peak's height again. They
// are found once: the range is sampled, a peak refined by golden section and
// the point of return by bisection. Then a value costs one evaluation.

const (
	samples  = 128
	maxFlats = 3 // a quartic has at most two peaks; one more for a start below the floor
)

type flat struct{ from, to, value float64 }

type rise struct {
	eq          equation
	lo, hi      float64 // range of x
	floor, ceil float64 // range of y
	top         float64 // the value at hi, the highest
	flats       [maxFlats]flat
	n           int
}

// newRise prepares the running maximum of eq on [lo, hi], given the published
// values at the two ends.
func newRise(eq equation, lo, hi float64, ends [2]float64) rise {
	r := rise{eq: eq, lo: lo, hi: hi, floor: ends[0], ceil: math.Inf(1)}
	if eq.at(hi) > ends[1]+0.01 {
		r.ceil = ends[1]
	}
	r.findFlats()
	r.top = r.at(hi)
	return r
}

// findFlats walks the samples: on the equation until a summit lies between two
// of them, then below the summit's height until the equation is back at it.
func (r *rise) findFlats() {
	step := (r.hi - r.lo) / samples
	top, peak, below := r.floor, r.lo, r.eq.at(r.lo) < r.floor
	for i := 1; i <= samples && r.n < maxFlats; i++ {
		x := r.lo + step*float64(i)
		from := x - step
		switch {
		case below:
		case falls(&r.eq, from, step):
			peak, top, below = from, r.eq.at(from), true
		case falls(&r.eq, x, -step):
			peak = summit(&r.eq, from, x)
			top, below, from = r.eq.at(peak), true, peak
		}
		if below && r.eq.at(x) >= top {
			r.flats[r.n] = flat{peak, cross(&r.eq, from, x, top), top}
			r.n++
			below = false
		}
	}
	if below && r.n < maxFlats {
		r.flats[r.n] = flat{peak, r.hi, top}
		r.n++
	}
}

// falls reports whether eq is falling at x, seen from the side of step.
func falls(eq *equation, x, step float64) bool {
	return (eq.at(x+step*1e-4)-eq.at(x))*step < 0
}

// within is x held at the ends of the range.
func (r *rise) within(x float64) float64 { return min(max(x, r.lo), r.hi) }

// at is the value at x, held at the ends of the range.
func (r *rise) at(x float64) float64 {
	x = r.within(x)
	for i := range r.n {
		if f := &r.flats[i]; x >= f.from && x <= f.to {
			return min(max(f.value, r.floor), r.ceil)
		}
	}
	return min(max(r.eq.at(x), r.floor), r.ceil)
}

// inverse is the least x at which the rise reaches y, to 1e-7, held at the
// ends of the range. The root is bracketed throughout and found by the method
// of Chandrupatla 1997 (Adv. Eng. Software 28:145-149): inverse quadratic
// interpolation where the three points bend little, bisection where they do not.
func (r *rise) inverse(y float64) float64 {
	a, b := r.lo, r.hi
	fa, fb := r.at(a)-y, r.at(b)-y
	if fa >= 0 {
		return a
	}
	if fb <= 0 {
		return r.least(y)
	}
	for i := range r.n {
		if y == r.flats[i].value {
			return r.flats[i].from
		}
	}
	for t := 0.5; ; {
		x := a + t*(b-a)
		fx := r.at(x) - y
		c, fc := b, fb
		if (fx < 0) == (fa < 0) {
			c, fc = a, fa
		} else {
			b, fb = a, fa
		}
		a, fa = x, fx
		best, tight := a, 1e-8/abs(b-c)
		if abs(fb) < abs(fa) {
			best = b
		}
		if tight > 0.5 || fa == 0 || fb == 0 {
			return best
		}
		xi, phi := (a-b)/(c-b), (fa-fb)/(fc-fb)
		t = 0.5
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			t = fa/(fb-fa)*fc/(fb-fc) + (c-a)/(b-a)*fa/(fc-fa)*fb/(fc-fb)
		}
		t = min(max(t, tight), 1-tight)
	}
}

// least is the inverse of the highest value, or of a higher one: the first x
// at which the rise stands there, or the end of the range.
func (r *rise) least(y float64) float64 {
	lo, hi := r.lo, r.hi
	if r.at(hi) < y {
		return hi
	}
	for hi-lo > 1e-7 {
		if mid := (lo + hi) / 2; r.at(mid) < y {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// summit is the place of the highest value of eq on [lo, hi], by golden section.
func summit(eq *equation, lo, hi float64) float64 {
	const g = 0.6180339887498949
	for hi-lo > 1e-9 {
		a, b := hi-g*(hi-lo), lo+g*(hi-lo)
		if eq.at(a) >= eq.at(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return (lo + hi) / 2
}

// cross is the place in [lo, hi] where eq, below y at lo and not at hi, reaches y.
func cross(eq *equation, lo, hi, y float64) float64 {
	for hi-lo > 1e-10 {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if eq.at(mid) < y {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}
