package growth

import (
	"limbround/geo"
)

// Curve is the growth of one species in one climate region. It is a small
// value; copies share the published figures. The zero Curve is not Known and
// answers zero everywhere.
type Curve struct {
	Name       string  // whose curve it is: "Acer rubrum, LoMidW"
	Fallback   string  // empty for the species' own curve, else which one stands in and why
	MinAge     float64 // years since planting: the published range
	MaxAge     float64
	set        *set
	lagPerInch float64 // seasons without growth after planting, per inch of caliper
	standIn    bool    // another species' curve
	scale      float64 // dbh here over dbh on the published curve; 1 without a shift
}

// dbhAt and ageOf read the curve of dbh with the city's shift.
func (c *Curve) dbhAt(age float64) float64 { return c.scale * c.set.dbh.at(age) }
func (c *Curve) ageOf(cm float64) float64  { return c.set.dbh.inverse(cm / c.scale) }

// Known reports whether there is a curve at all.
func (c Curve) Known() bool { return c.set != nil }

// Palm reports whether the curve is a palm's: height of age, and no dbh, since
// a palm's stem does not thicken.
func (c Curve) Palm() bool { return c.set != nil && c.set.kind == palm }

// DBH is the diameter in cm at an age in years since planting, held at the
// ends of the published range. It is beyond when the age lies past the range,
// or when the range's largest dbh is reached; then say "end of published range".
func (c Curve) DBH(age float64) (cm float64, beyond bool) {
	if c.set == nil || c.set.kind == palm {
		return 0, c.beyond(age)
	}
	cm = c.dbhAt(age)
	return cm, c.beyond(age) || cm >= c.scale*c.set.dbh.ceil
}

func (c Curve) beyond(age float64) bool { return c.set != nil && age > c.MaxAge }

// Age is the equivalent age of a dbh in cm: the age at which the curve reaches
// it, within the published range. Age(DBH(a)) is a to 1e-6 years wherever the
// curve rises.
func (c Curve) Age(dbhCM float64) float64 {
	if c.set == nil || c.set.kind == palm {
		return 0
	}
	return c.ageOf(dbhCM)
}

// Height is the height in m at a dbh in cm. It never falls with dbh.
func (c Curve) Height(dbhCM float64) float64 {
	if c.set == nil || c.set.kind == palm {
		return 0
	}
	return c.set.height.at(dbhCM)
}

// Crown is the crown spread (mean diameter) in m at a dbh in cm. It never
// falls with dbh.
func (c Curve) Crown(dbhCM float64) float64 {
	if c.set == nil || c.set.kind == palm {
		return 0
	}
	return c.set.crown.at(dbhCM)
}

// CrownBase is height less published crown height in m at a dbh in cm. It is
// only a prior for a tree never looked at: the measured trees had been raised,
// so it rises with dbh, while the branches of a tree nobody prunes do not.
func (c Curve) CrownBase(dbhCM float64) float64 {
	if c.set == nil || c.set.kind == palm {
		return 0
	}
	s := c.set
	x := min(max(dbhCM, s.height.lo), s.height.hi)
	h := s.height.at(x)
	return min(max(h-s.crownHeight.at(x), 0), h)
}

// AtAge is the size at an age in years since planting, with no tree in mind.
func (c Curve) AtAge(age float64) Size {
	switch {
	case c.set == nil:
		return Size{DBH: geo.None, Height: geo.None, Crown: geo.None, Age: age}
	case c.set.kind == palm:
		return Size{DBH: geo.None, Height: geo.Metres(c.set.height.at(age)), Crown: geo.None, Age: age, Beyond: c.beyond(age)}
	}
	cm, beyond := c.DBH(age)
	return Size{DBH: geo.Centimetres(cm), Height: geo.Metres(c.Height(cm)), Crown: geo.Metres(c.Crown(cm)), Age: age, Beyond: beyond}
}
