package growth

import (
	"fmt"
	"math"
	"slices"

	"limbround/scheduler"
)

// A city's own trees, measured some years after planting, say whether the
// published curve of a species suits the city. For each species the ratio of
// all its measured dbh to all that the curve gives at their ages is the shift
// (the best estimate where the scatter grows with size, as it does). The ratio
// of a few trees is mostly their own chance: it is drawn towards none, by
//
//	weight = P^2 / (P^2 + E^2)
//
// P being how far places differ (the published spread of one species between
// climate regions) and E the standard error of the ratio (the usual shrinkage
// of a mean towards a prior mean of no shift). Under a least number of trees
// there is no shift. A measured dbh below a fifth or over five times the
// curve's is more likely a slip of the unit and is counted apart, and trees out
// of the published range of ages are too.

// The least number of trees for a shift when none is given, and the bounds of a
// believable ratio: common practice, from memory.
const (
	leastTrees  = 10
	doubtfulLow = 0.2
	doubtfulTop = 5
	smallShift  = 1 // per cent: less is not worth a line of policy
)

// Sample is one tree of a city: years from planting to measuring, dbh in cm.
type Sample struct {
	Species string
	Age     float64
	DBH     float64
}

// Calibration is what the measured trees of one species say about its curve.
type Calibration struct {
	Species  string       `json:"species"`
	Curve    string       `json:"curve"`
	Trees    int          `json:"trees"`
	OffRange int          `json:"off_range"` // trees younger or older than the published curve
	Doubtful int          `json:"doubtful"`  // sizes that look like a slip of the unit
	Bias     float64      `json:"bias_pct"`  // measured dbh over the curve's, less one
	Spread   float64      `json:"spread_pct"`
	Error    float64      `json:"error_pct"` // standard error of Bias
	Weight   float64      `json:"weight"`    // 0 to 1: the part of Bias that is believed
	Shift    float64      `json:"dbh_shift_pct"`
	InForce  float64      `json:"shift_in_force_pct"` // what the policy says today
	ByAge    []ClassError `json:"by_age"`             // against the curve without any shift
	Words    string       `json:"words"`
	Rule     bool         `json:"rule"` // Shift is worth a line in the policy
}

// Calibrator collects measured trees; memory grows with the species, not the
// trees. It is not safe for concurrent use.
type Calibrator struct {
	least int
	of    map[string]*gathered
	curve func(species string) (c Curve, inForce float64)
}

type gathered struct {
	curve                     Curve
	inForce                   float64
	n, off, doubtful          int
	dbh, on, dbh2, on2, dbhOn float64
	classes                   *classErrors
}

// NewCalibrator takes the curve of each species without a shift, with the shift
// in force in per cent, and the least number of trees; 0 takes common practice.
func NewCalibrator(curve func(species string) (c Curve, inForce float64), least int) (*Calibrator, error) {
	if least == 0 {
		least = leastTrees
	}
	if least < 3 {
		return nil, scheduler.Errorf(scheduler.Invalid, "least number of trees %d: want 3 or more", least)
	}
	return &Calibrator{least: least, of: map[string]*gathered{}, curve: curve}, nil
}

// Add counts one measured tree.
func (k *Calibrator) Add(s Sample) {
	g := k.of[s.Species]
	if g == nil {
		g = &gathered{classes: newErrors(ageClasses)}
		g.curve, g.inForce = k.curve(s.Species)
		k.of[s.Species] = g
	}
	if !g.curve.Known() || g.curve.Palm() || s.Age < g.curve.MinAge || s.Age > g.curve.MaxAge {
		g.off++
		return
	}
	on, _ := g.curve.DBH(s.Age)
	if on <= 0 || s.DBH < doubtfulLow*on || s.DBH > doubtfulTop*on {
		g.doubtful++
		return
	}
	g.n++
	g.dbh, g.on = g.dbh+s.DBH, g.on+on
	g.dbh2, g.on2, g.dbhOn = g.dbh2+s.DBH*s.DBH, g.on2+on*on, g.dbhOn+s.DBH*on
	b := g.curve.Aged(s.Age, 0).Band(0)
	mm := s.DBH * 10
	g.classes.add(s.Age, on, s.DBH-on, g.curve.set.scatter[0].spread(on, s.Age), b.Known() && mm >= float64(b.DBHLow) && mm <= float64(b.DBHHigh))
}

// Rows are the species met, by code.
func (k *Calibrator) Rows() []Calibration {
	out := make([]Calibration, 0, len(k.of))
	for code, g := range k.of {
		out = append(out, g.row(code, k.least))
	}
	slices.SortFunc(out, func(a, b Calibration) int {
		if a.Species < b.Species {
			return -1
		}
		return 1
	})
	return out
}

func (g *gathered) row(code string, least int) Calibration {
	c := Calibration{Species: code, Curve: g.curve.Name, Trees: g.n, OffRange: g.off, Doubtful: g.doubtful, InForce: g.inForce, ByAge: g.classes.rows()}
	if g.n > 0 {
		c.Bias = 100 * (g.dbh/g.on - 1)
	}
	if g.n < least {
		c.Words = fmt.Sprintf("no shift: %d trees, at least %d are needed", g.n, least)
		if !g.curve.Known() {
			c.Words = "no shift: " + g.curve.Fallback
		} else if g.curve.Palm() {
			c.Words = "no shift: a palm's stem does not thicken"
		}
		return c
	}
	n, ratio := float64(g.n), g.dbh/g.on
	squares := max(g.dbh2-2*ratio*g.dbhOn+ratio*ratio*g.on2, 0) // of dbh less ratio times the curve
	c.Spread = 100 * math.Sqrt(squares/(n-1)) / (g.on / n)
	c.Error = c.Spread / math.Sqrt(n)
	prior := 100 * regionSpread
	c.Weight = prior * prior / (prior*prior + c.Error*c.Error)
	c.Shift = math.Round(10*c.Weight*c.Bias) / 10
	c.Words, c.Rule = g.words(&c)
	return c
}

// words states the shift, and warns where one figure does not fit all ages.
func (g *gathered) words(c *Calibration) (string, bool) {
	said := fmt.Sprintf("%d trees are %.1f %% thicker than the curve at their ages", c.Trees, c.Bias)
	if c.Bias < 0 {
		said = fmt.Sprintf("%d trees are %.1f %% thinner than the curve at their ages", c.Trees, -c.Bias)
	}
	var rule bool
	switch {
	case math.Abs(c.Shift) < smallShift || math.Abs(c.Bias) < 2*c.Error:
		c.Shift = 0
		said += "; that may be chance: no shift"
	case math.Abs(c.Shift) > 60:
		c.Shift = 0
		said += "; a shift of more than 60 % is no shift: choose another curve or region"
	default:
		rule = true
		said += fmt.Sprintf(": shift the curve by %s %% (%.0f %% of the difference, for so many trees)", signed(c.Shift), 100*c.Weight)
	}
	if low, high, bends := bend(c.ByAge, g); bends {
		said += fmt.Sprintf("; by age it is %s %% to %s %%: another curve may fit better than a shift", signed(low), signed(high))
	}
	return said, rule
}

// bend reports whether classes of age disagree by more than their chance: the
// lowest and the highest shift of classes with enough trees, in per cent.
func bend(rows []ClassError, g *gathered) (low, high float64, bends bool) {
	low, high = math.Inf(1), math.Inf(-1)
	var lowErr, highErr float64
	for i, r := range rows[:len(rows)-1] {
		if r.Trees < leastTrees {
			continue
		}
		mean := g.classes.sums[i].on / float64(r.Trees)
		share := math.Round(1000*r.Bias/mean) / 10
		chance := 100 * math.Sqrt(max(r.RMSE*r.RMSE-r.Bias*r.Bias, 0)/float64(r.Trees)) / mean
		if share < low {
			low, lowErr = share, chance
		}
		if share > high {
			high, highErr = share, chance
		}
	}
	return low, high, high-low > max(10, 3*math.Hypot(lowErr, highErr))
}
