package growth

import (
	"math"

	"limbround/geo"
)

// MeasuredTree is one tree as it stood: age in years since planting, dbh in
// cm, height in m; a negative figure was not measured.
type MeasuredTree struct{ Age, DBH, Height float64 }

// ClassError is how far measured trees of one class lie off a curve, beside
// what its own fit left. Lengths are in cm for dbh and in m for height.
type ClassError struct {
	From   float64 `json:"from"` // class of age in years, or of dbh in cm
	To     float64 `json:"to"`   // 0 for no upper limit
	Trees  int     `json:"trees"`
	Bias   float64 `json:"bias"`   // mean of measured less curve
	RMSE   float64 `json:"rmse"`   // root of the mean squared difference
	Fit    float64 `json:"fit"`    // the same of the published fit, at these trees' places
	Inside float64 `json:"inside"` // share of the trees inside the band
}

// The bounds of classes: years of age, and cm of dbh.
var (
	ageClasses = []float64{0, 10, 20, 40}
	dbhClasses = []float64{0, 15, 30, 60}
)

// DBHErrors compares dbh at the trees' ages with the curve, by age class, the
// last row being of all. Trees out of the published range are left out.
func (c Curve) DBHErrors(trees []MeasuredTree) []ClassError {
	e := newErrors(ageClasses)
	for _, t := range trees {
		if t.Age < c.MinAge || t.Age > c.MaxAge || t.DBH <= 0 || c.set == nil || c.Palm() {
			continue
		}
		b := c.Aged(t.Age, 0).Band(0)
		on := c.dbhAt(t.Age)
		e.add(t.Age, on, t.DBH-on, c.set.scatter[0].spread(on, t.Age)*c.scale, b.Known() && inside(geo.Centimetres(t.DBH), b.DBHLow, b.DBHHigh))
	}
	return e.rows()
}

// HeightErrors compares heights at the trees' dbh with the curve, by class of dbh.
func (c Curve) HeightErrors(trees []MeasuredTree) []ClassError {
	e := newErrors(dbhClasses)
	for _, t := range trees {
		if t.Height <= 0 || c.set == nil || c.Palm() || t.DBH < c.set.height.lo || t.DBH > c.set.height.hi {
			continue
		}
		on := c.Height(t.DBH)
		w := c.set.scatter[1].sides(on, t.DBH, leastHeight)
		e.add(t.DBH, on, t.Height-on, c.set.scatter[1].spread(on, t.DBH), t.Height >= on-w.down && t.Height <= on+w.up)
	}
	return e.rows()
}

// HeightInside counts the trees whose height lies inside the band of their age
// alone, of those that have both and are in the published range.
func (c Curve) HeightInside(trees []MeasuredTree) (in, all int) {
	for _, t := range trees {
		if t.Age < c.MinAge || t.Height <= 0 {
			continue
		}
		if b := c.Aged(t.Age, 0).Band(0); b.Known() {
			all++
			if inside(geo.Metres(t.Height), b.HeightLow, b.HeightHigh) {
				in++
			}
		}
	}
	return in, all
}

func inside(v, low, high geo.Length) bool { return v >= low && v <= high }

// spread is the standard deviation in the curve's own unit, y being its value.
func (s *scatter) spread(y, x float64) float64 {
	if s.logs {
		return y * s.deviation(x)
	}
	return s.deviation(x)
}

type classErrors struct {
	from []float64
	sums []errorSum // one more than classes: of all
}

type errorSum struct {
	n, in                 int
	on, sum, squares, fit float64
}

func newErrors(from []float64) *classErrors {
	return &classErrors{from: from, sums: make([]errorSum, len(from)+1)}
}

// add counts a tree of class x that stands off the curve's value on.
func (e *classErrors) add(x, on, off, fit float64, in bool) {
	i := len(e.from) - 1
	for i > 0 && x < e.from[i] {
		i--
	}
	for _, s := range []*errorSum{&e.sums[i], &e.sums[len(e.from)]} {
		s.n++
		s.on += on
		s.sum += off
		s.squares += off * off
		s.fit += fit * fit
		if in {
			s.in++
		}
	}
}

func (e *classErrors) rows() []ClassError {
	out := make([]ClassError, len(e.sums))
	for i, s := range e.sums {
		if i < len(e.from) {
			out[i].From = e.from[i]
		}
		if i+1 < len(e.from) {
			out[i].To = e.from[i+1]
		}
		if n := float64(s.n); s.n > 0 {
			out[i] = ClassError{
				From: out[i].From, To: out[i].To, Trees: s.n,
				Bias: s.sum / n, RMSE: math.Sqrt(s.squares / n), Fit: math.Sqrt(s.fit / n), Inside: float64(s.in) / n,
			}
		}
	}
	return out
}
