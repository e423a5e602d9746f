package growth

import "math"

// The table prints five decimals. For the leading coefficient of a cubic that
// is far too few: at 140 cm dbh half a unit of the last place is 14 m of
// height, and an elm printed as 32.7 m comes out at 44.6 m. But the table also
// prints the values at the ends of the range, computed before the rounding. So
// the lost digits of the coefficient that the rounding hurts most are taken
// back from the upper end, provided the change stays within the rounding; a
// mismatch that rounding cannot explain is left alone.

const lastPlace = 5.5e-6 // half a unit of the fifth decimal, and a little for the rounding of the end value

// restore returns e with the lost digits of its weakest coefficient, so that
// e.at(x) is the published value; e itself when it agrees already or when
// rounding does not explain the difference.
func (e equation) restore(x, published float64) equation {
	y := e.at(x)
	if math.Abs(y-published) <= 0.005 || x <= 1 || published <= 0 {
		return e
	}
	r := e
	switch e.form {
	case lin, quad, cub, quart:
		k := e.form.coefficients() - 1
		r.c[k] += (published - y) / math.Pow(x, float64(k))
		if math.Abs(r.c[k]-e.c[k]) > lastPlace {
			return e
		}
	case loglogw2, loglogw3, loglogw4, expow2, expow3, expow4:
		r.c[2] += 2 * math.Log(published/y) / e.weight(x)
		if !(math.Abs(r.c[2]-e.c[2]) <= lastPlace) {
			return e
		}
	default: // no power of x in front of a coefficient: rounding does little harm
	}
	return r
}
