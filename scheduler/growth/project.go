package growth

import (
	"limbround/geo"
	"limbround/scheduler"
)

// What a Projection starts from, best first.
const (
	FromDBH       = "measured dbh"
	FromDBHToday  = "measured dbh of unknown date, taken as of today"
	FromHeight    = "measured height"
	FromCaliper   = "planted caliper, with the establishment lag"
	FromPlanting  = "planting date"
	FromNothing   = "no size and no planting date recorded"
	WithoutCurves = "no growth curve"
)

// Size is a projected size. Lengths are geo.None where nothing is known.
type Size struct {
	DBH    geo.Length
	Height geo.Length
	Crown  geo.Length // spread
	Age    float64    // equivalent age on the curve, years since planting
	Beyond bool       // past the published range: held at its end
}

// Projection is one tree on its curve. It is a value without pointers into the
// tree; neither making nor reading it allocates.
type Projection struct {
	Basis string // what it started from: one of the From constants

	curve     Curve
	from      scheduler.Date // the day of the basis
	age       float64        // equivalent age on that day
	lag       float64        // years after from without growth
	ahead     float64        // years between the basis and from, for a tree without dates
	dbh       float64        // measured less curve at from: cm
	height    float64        // m
	crown     float64        // m
	fixedDBH  geo.Length     // of a palm
	wideCrown geo.Length
	tall      bool // the height was measured too
	wide      bool // and the crown
}

// Project puts a tree on the curve. A measured dbh beats a measured height,
// and that the planting date: a planted caliper counts as dbh at planting,
// after which the tree makes roots for a season per inch of caliper in a cold
// climate (common practice) and in a warm one grows on. A measurement older
// than the planting is of another tree. Where a measured figure lies off the
// curve, the curve's growth is added to it, so that a projection starts from
// what was measured; today dates a measurement without a day.
func (c Curve) Project(t scheduler.Tree, today scheduler.Date) Projection {
	p := Projection{Basis: WithoutCurves, curve: c, fixedDBH: t.DBH, wideCrown: t.Crown}
	if c.set == nil {
		return p
	}
	on := t.MeasuredOn
	measured := on.IsZero() || on >= t.Planted
	if on.IsZero() {
		on = today
	}
	s := c.set
	switch {
	case measured && t.DBH > 0 && s.kind != palm:
		p.Basis, p.from = FromDBH, on
		if t.MeasuredOn.IsZero() {
			p.Basis = FromDBHToday
		}
		p.age = c.ageOf(t.DBH.CM())
		p.dbh = t.DBH.CM() - c.dbhAt(p.age)
		p.anchor(&t)
	case measured && t.Height > 0:
		p.Basis, p.from = FromHeight, on
		if s.kind == palm {
			p.age = s.height.inverse(t.Height.M())
		} else {
			p.age = c.ageOf(s.height.inverse(t.Height.M()))
		}
		p.anchor(&t)
	case !t.Planted.IsZero() && t.Caliper > 0 && s.kind != palm:
		p.Basis, p.from = FromCaliper, t.Planted
		p.age = c.ageOf(t.Caliper.CM())
		p.dbh = t.Caliper.CM() - c.dbhAt(p.age)
		p.lag = c.lagPerInch * t.Caliper.Inches()
	case !t.Planted.IsZero():
		p.Basis, p.from = FromPlanting, t.Planted
	default:
		p.Basis = FromNothing
	}
	return p
}

// anchor notes how far a measured height and crown lie off the curve.
func (p *Projection) anchor(t *scheduler.Tree) {
	s, x := p.curve.set, p.age
	if s.kind != palm {
		x = p.curve.dbhAt(p.age) + p.dbh
	}
	if t.Height > 0 {
		p.tall = true
		p.height = t.Height.M() - s.height.at(x)
	}
	if t.Crown > 0 && s.kind != palm {
		p.wide = true
		p.crown = t.Crown.M() - s.crown.at(x)
	}
}

// Known reports whether the projection has a size to give.
func (p Projection) Known() bool { return p.Basis != FromNothing && p.Basis != WithoutCurves }

// At is the size on a day. Days before the basis are read back along the
// curve, no further than its published range.
func (p Projection) At(d scheduler.Date) Size {
	if !p.Known() {
		return Size{DBH: geo.None, Height: geo.None, Crown: geo.None}
	}
	age := p.ageOn(d)
	s := p.curve.set
	out := Size{Age: age, Beyond: age > s.maxAge}
	if s.kind == palm {
		out.DBH, out.Crown = p.fixedDBH, p.wideCrown
		out.Height = geo.Metres(max(s.height.at(age)+p.height, 0.01))
		return out
	}
	cm := p.curve.dbhAt(age)
	out.Beyond = out.Beyond || cm >= p.curve.scale*s.dbh.ceil
	cm = max(cm+p.dbh, 0.1)
	out.Beyond = out.Beyond || cm > p.curve.scale*s.dbh.top+0.05
	out.DBH = geo.Centimetres(cm)
	out.Height = geo.Metres(max(s.height.at(cm)+p.height, 0.01))
	out.Crown = geo.Metres(max(s.crown.at(cm)+p.crown, 0.01))
	return out
}

// ageOn is the equivalent age on a day.
func (p *Projection) ageOn(d scheduler.Date) float64 {
	years := p.from.YearsTo(d)
	if years > 0 {
		years = max(0, years-p.lag)
	}
	return max(p.age+p.ahead+years, 0)
}

// Aged is a tree of which nothing is known but its age in years on a day.
func (c Curve) Aged(years float64, on scheduler.Date) Projection {
	p := Projection{Basis: FromPlanting, curve: c, from: on, age: max(years, 0), fixedDBH: geo.None, wideCrown: geo.None}
	if c.set == nil {
		p.Basis = WithoutCurves
	}
	return p
}

// Sized is a tree whose dbh in cm was measured a number of years before day zero.
func (c Curve) Sized(cm, years float64) Projection {
	p := Projection{Basis: WithoutCurves, curve: c, fixedDBH: geo.Centimetres(cm), wideCrown: geo.None}
	if c.set == nil {
		return p
	}
	if c.set.kind == palm {
		p.Basis = FromNothing // a palm's dbh tells nothing of its age
		return p
	}
	p.Basis, p.ahead = FromDBH, years
	p.age = c.ageOf(cm)
	p.dbh = cm - c.dbhAt(p.age)
	return p
}
