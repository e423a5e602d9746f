package growth

import (
	"math"

	"limbround/geo"
	"limbround/scheduler"
)

// How far a single tree may lie off its projection.
//
// A tree known by its planting date alone scatters about the curve as the
// measured trees did: their published residuals give the variance of dbh at an
// age, and of height and crown at a dbh. The band holds eight trees in ten,
// taken as normal about the curve (of the logarithm where the fit was of
// logarithms), and the height's band joins both sources, as independent ones.
//
// A measured tree is known on the day of measuring: its band has no width
// there. Afterwards it is known but for its growth since. Trees of one age
// differ in dbh because they grew at different rates, and a rate is taken to
// last: the tree is the middle one of its size, or a younger one that grows
// faster, or an older one that grows slower, and the band runs from the growth
// of the slower to that of the faster. A tree measured as a seedling ends in
// the band of its age alone. The source measured each tree once, so that how
// long a rate lasts is this project's reading of it. A dbh does not shrink,
// which bounds the band below. A height that was measured widens by the share
// of its scatter that its growth since is of the whole.
//
// Where another species' curve stands in, the band is wider by what such curves
// are off on the species that have their own.
//
// Not in the band: a measuring error, a lost top, the length of the
// establishment lag. Past the published range there is no band.

// Coverage is the share of trees inside a Band, and InWords says it.
const (
	Coverage  = 0.8
	InWords   = "8 trees in 10"
	bandWidth = 1.2815515655446004 // standard deviations to either side of a normal middle that hold Coverage
)

// The least standard deviation that is believed, as a share of the size. Of dbh
// at one age the lower quarter of all fits at 30 years is below it: the fits of
// some cities, Minneapolis first, leave under half of it, which says that ages
// there were partly read off the size. A few crown fits of Longview print none.
const (
	leastDBH    = 0.15
	leastHeight = 0.07
	leastCrown  = 0.10
)

// How far another species' curve that stands in is off at twenty years, as a
// standard deviation of the logarithm, and how far the curves of one species
// differ between climate regions. Both are worked out from the published curves.
const (
	standInDBH    = 0.28
	standInHeight = 0.19
	standInCrown  = 0.17
	regionSpread  = 0.26
)

// slowest is the least rate of growth that is looked at, as a share of the
// middle one: a tree that does not grow has no equivalent age.
const slowest = 0.1

// Band bounds a projected size. Lengths are geo.None where no band is known.
type Band struct {
	DBHLow, DBHHigh       geo.Length
	HeightLow, HeightHigh geo.Length
	CrownLow, CrownHigh   geo.Length
}

var noBand = Band{geo.None, geo.None, geo.None, geo.None, geo.None, geo.None}

// Known reports whether there is a band of any kind.
func (b Band) Known() bool { return b.HeightHigh != geo.None }

// Band is the range that holds Coverage of such trees on a day. It does not allocate.
func (p Projection) Band(d scheduler.Date) Band {
	if !p.Known() || p.At(d).Beyond {
		return noBand
	}
	if p.curve.set.kind == palm {
		return p.palmBand(d)
	}
	c, s := &p.curve, p.curve.set
	age := p.ageOn(d)
	cm := max(c.dbhAt(age)+p.dbh, 0.1)
	w := c.dbhSides(age)
	if p.Basis != FromPlanting {
		w = p.since(age, w.part(1/c.dbhAt(age))).atMost(w).from(max(c.dbhAt(p.age)+p.dbh, 0.1), cm)
	}
	dbh := w
	if p.Basis == FromHeight {
		dbh = dbh.and(p.dbhUnseen(cm))
	}
	out := Band{DBHLow: geo.Centimetres(max(cm-dbh.down, 0.1)), DBHHigh: geo.Centimetres(cm + dbh.up)}
	out.HeightLow, out.HeightHigh = p.over(&s.height, c.sides(1, s.height.at(cm), s.height.within(cm)), cm, w, p.height, p.tall)
	out.CrownLow, out.CrownHigh = p.over(&s.crown, c.sides(2, s.crown.at(cm), s.crown.within(cm)), cm, w, p.crown, p.wide)
	return out
}

// over is the band of a height or a crown, in m, above a dbh with its width w;
// full is its scatter at that dbh, off what was measured less the curve, when seen.
func (p *Projection) over(r *rise, full width, cm float64, w width, off float64, seen bool) (low, high geo.Length) {
	on := r.at(cm)
	y := max(on+off, 0.01)
	below := width{down: on - r.at(cm-w.down), up: r.at(cm+w.up) - on}
	if seen {
		start := max(r.at(max(p.curve.dbhAt(p.age)+p.dbh, 0.1))+off, 0.01)
		full = full.part(grown(start, y)).and(below).from(start, y)
	} else {
		full = full.and(below)
	}
	return geo.Metres(max(y-full.down, 0.01)), geo.Metres(y + full.up)
}

// since is how far the growth from the measurement to an age may lie off the
// curve's, given how far rates of growth do, as shares below and above the
// middle: at the least the rate's own share of the growth, since on a curve
// that bends twice the younger and the older tree may meet again.
func (p *Projection) since(age float64, rates width) width {
	c := &p.curve
	from := c.dbhAt(p.age)
	middle := c.dbhAt(age) - from
	least, most := middle*(1-rates.down), middle*(1+rates.up) // at the rate alone
	for _, rate := range [2]float64{max(1-rates.down, slowest), 1 + rates.up} {
		at := c.ageOf(from / rate)
		g := rate * (c.dbhAt(at+age-p.age) - c.dbhAt(at))
		least, most = min(least, g, middle), max(most, g, middle)
	}
	return width{down: middle - least, up: most - middle}
}

// dbhSides is the width of dbh about the curve at an age.
func (c *Curve) dbhSides(age float64) width {
	x := c.set.dbh.within(age)
	return c.sides(0, c.set.dbh.at(x), x).part(c.scale)
}

// sides are the half-widths of one of the curves at x, where it is y: the
// fit's own and, of a curve that stands in, the difference of species.
func (c *Curve) sides(which int, y, x float64) width {
	w := c.set.scatter[which].sides(y, x, [3]float64{leastDBH, leastHeight, leastCrown}[which])
	if !c.standIn {
		return w
	}
	z := bandWidth * [3]float64{standInDBH, standInHeight, standInCrown}[which]
	w = w.and(width{down: y * (1 - math.Exp(-z)), up: y * (math.Exp(z) - 1)})
	return width{down: min(w.down, y), up: w.up}
}

// dbhUnseen is what the dbh of a tree known by its height alone may be off.
func (p *Projection) dbhUnseen(cm float64) width {
	s := p.curve.set
	start := max(p.curve.dbhAt(p.age)+p.dbh, 0.1)
	h := s.height.at(start)
	w := p.curve.sides(1, h, s.height.within(start))
	return width{
		down: min(max(start-s.height.inverse(h-w.down), 0), cm),
		up:   max(s.height.inverse(h+w.up)-start, 0),
	}
}

// palmBand is of height alone, where the fit's scatter is published.
func (p *Projection) palmBand(d scheduler.Date) Band {
	out, s := noBand, p.curve.set
	if !s.scatter[1].fitted {
		return out
	}
	age := p.ageOn(d)
	h := max(s.height.at(age)+p.height, 0.01)
	w := p.curve.sides(1, s.height.at(age), age)
	if p.tall {
		start := max(s.height.at(p.age)+p.height, 0.01)
		w = w.part(grown(start, h)).from(start, h)
	}
	out.HeightLow, out.HeightHigh = geo.Metres(max(h-w.down, 0.01)), geo.Metres(h+w.up)
	return out
}

// width is the two sides of a band.
type width struct{ down, up float64 }

func (w width) part(share float64) width { return width{w.down * share, w.up * share} }

// atMost keeps a measured tree from being known worse than by its age alone.
func (w width) atMost(o width) width { return width{min(w.down, o.down), min(w.up, o.up)} }

// and joins two independent sources.
func (w width) and(o width) width { return width{math.Hypot(w.down, o.down), math.Hypot(w.up, o.up)} }

// from keeps a band on its side of what was measured: what has grown does not
// go back below, what was smaller before does not come out above.
func (w width) from(start, now float64) width {
	if now >= start {
		return width{min(w.down, now-start), w.up}
	}
	return width{w.down, min(w.up, start-now)}
}

// grown is the share that a growth from start to now, or back, is of the whole.
func grown(start, now float64) float64 { return min(math.Abs(now-start)/max(now, 0.1), 1) }
