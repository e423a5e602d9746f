package jobs

import (
	"fmt"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// GrowthRequest names a species in a climate region and either an age or a
// diameter; the diameter wins, and counts as measured.
type GrowthRequest struct {
	Region  string
	Species string                // code, scientific or common name
	Age     float64               // years since planting
	DBH     float64               // centimetres, 0 to use the age
	Years   float64               // project this many years on, 0 to 200
	Rules   scheduler.GrowthRules // of the city whose tree it is; empty for the published curves as they are
}

// GrowthResult is one tree's projection. The low and high figures bound the
// middle eight trees in ten; they are left out where no band is known, and Band says why.
type GrowthResult struct {
	Region       string  `json:"region"`
	Species      string  `json:"species"`
	Age          float64 `json:"age"`
	DBH          float64 `json:"dbh_cm"`
	Height       float64 `json:"height_m"`
	Crown        float64 `json:"crown_m"`
	Base         float64 `json:"crown_base_m"` // a prior: the lowest foliage of trees that had been raised
	DBHLow       float64 `json:"dbh_low_cm,omitempty"`
	DBHHigh      float64 `json:"dbh_high_cm,omitempty"`
	HeightLow    float64 `json:"height_low_m,omitempty"`
	HeightHigh   float64 `json:"height_high_m,omitempty"`
	CrownLow     float64 `json:"crown_low_m,omitempty"`
	CrownHigh    float64 `json:"crown_high_m,omitempty"`
	Band         string  `json:"band"` // what low and high bound, or why there are none
	Curve        string  `json:"curve"`
	Fallback     string  `json:"fallback,omitempty"` // why another curve than the species' own is used, and any shift
	FirstAge     float64 `json:"range_from_age"`
	LastAge      float64 `json:"range_to_age"`
	Extrapolated bool    `json:"extrapolated"` // asked beyond the published range, answered at its end
}

// Growth projects one tree among the given species. An unknown species or
// region is Invalid.
func Growth(q GrowthRequest, species []scheduler.Species) (GrowthResult, error) {
	sp, ok := speciesNamed(q.Species, species)
	if !ok {
		return GrowthResult{}, scheduler.Errorf(scheduler.Invalid, "species %q: not in the species table", q.Species)
	}
	if !(q.Years >= 0 && q.Years <= 200) {
		return GrowthResult{}, scheduler.Errorf(scheduler.Invalid, "years %g: want 0 to 200", q.Years)
	}
	model, err := growth.Load()
	if err != nil {
		return GrowthResult{}, fmt.Errorf("load growth curves: %w", err)
	}
	c, fault := model.CurveUnder(q.Region, q.Rules, sp)
	if fault != nil {
		return GrowthResult{}, &scheduler.Error{Kind: scheduler.Invalid, Message: "growth rules: " + fault.String(), Fields: []scheduler.Fault{*fault}}
	}
	if !c.Known() {
		return GrowthResult{}, &scheduler.Error{
			Kind: scheduler.Invalid, Message: fmt.Sprintf("region %q: no curve for %s", q.Region, sp.Scientific),
			Hint: "the regions are " + strings.Join(regionCodes(), ", "),
		}
	}
	out := GrowthResult{
		Region: q.Region, Species: sp.Scientific, Age: q.Age + q.Years, Curve: c.Name, Fallback: c.Fallback, FirstAge: c.MinAge, LastAge: c.MaxAge,
	}
	p := c.Aged(q.Age+q.Years, 0)
	if q.DBH > 0 {
		p = c.Sized(q.DBH, q.Years)
	}
	out.size(&c, p, q.DBH > 0)
	return out, nil
}

// size fills in the size on the day of a projection, with its band.
func (r *GrowthResult) size(c *growth.Curve, p growth.Projection, measured bool) {
	z := p.At(0)
	if measured {
		r.Age = z.Age
	}
	r.Extrapolated = z.Beyond
	if c.Palm() {
		r.Height = z.Height.M()
	} else {
		r.DBH, r.Height, r.Crown = z.DBH.CM(), z.Height.M(), z.Crown.M()
		r.Base = c.CrownBase(r.DBH)
	}
	b := p.Band(0)
	switch {
	case b.Known():
		r.Band = growth.InWords + " lie between low and high"
		if measured {
			r.Band += ", as measured now and grown since"
		}
	case z.Beyond:
		r.Band = "none past the published range"
	default:
		r.Band = "none: the scatter of this curve is not published"
	}
	figure := func(to *float64, l geo.Length, in float64) {
		if b.Known() && l != geo.None {
			*to = float64(l) / in
		}
	}
	figure(&r.DBHLow, b.DBHLow, 10)
	figure(&r.DBHHigh, b.DBHHigh, 10)
	figure(&r.HeightLow, b.HeightLow, 1000)
	figure(&r.HeightHigh, b.HeightHigh, 1000)
	figure(&r.CrownLow, b.CrownLow, 1000)
	figure(&r.CrownHigh, b.CrownHigh, 1000)
}

func regionCodes() []string {
	var codes []string
	for _, r := range growth.Regions() {
		codes = append(codes, r.Code)
	}
	return codes
}

func speciesNamed(name string, list []scheduler.Species) (scheduler.Species, bool) {
	for _, s := range list {
		if strings.EqualFold(name, s.Code) || strings.EqualFold(name, s.Scientific) || strings.EqualFold(name, s.Common) {
			return s, true
		}
	}
	return scheduler.Species{}, false
}
