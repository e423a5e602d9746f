package jobs

import (
	"fmt"
	"strings"

	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// GrowthRequest names a species in a climate region and either an age or a
// diameter; the diameter wins.
type GrowthRequest struct {
	Region  string
	Species string  // code, scientific or common name
	Age     float64 // years since planting
	DBH     float64 // centimetres, 0 to use the age
}

// GrowthResult is one tree's projection by the published curves.
type GrowthResult struct {
	Region       string  `json:"region"`
	Species      string  `json:"species"`
	Age          float64 `json:"age"`
	DBH          float64 `json:"dbh_cm"`
	Height       float64 `json:"height_m"`
	Crown        float64 `json:"crown_m"`
	Base         float64 `json:"crown_base_m"` // a prior: the lowest foliage of trees that had been raised
	Curve        string  `json:"curve"`
	Fallback     string  `json:"fallback,omitempty"` // why another species' curve stands in
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
	model, err := growth.Load()
	if err != nil {
		return GrowthResult{}, fmt.Errorf("load growth curves: %w", err)
	}
	c := model.Curve(q.Region, sp)
	if !c.Known() {
		return GrowthResult{}, &scheduler.Error{
			Kind: scheduler.Invalid, Message: fmt.Sprintf("region %q: no curve for %s", q.Region, sp.Scientific),
			Hint: "the regions are " + strings.Join(regionCodes(), ", "),
		}
	}
	out := GrowthResult{
		Region: q.Region, Species: sp.Scientific, Age: q.Age, Curve: c.Name, Fallback: c.Fallback, FirstAge: c.MinAge, LastAge: c.MaxAge,
	}
	if q.DBH > 0 {
		out.Age = c.Age(q.DBH)
		top, _ := c.DBH(c.MaxAge)
		out.DBH, out.Extrapolated = q.DBH, q.DBH > top
	} else {
		out.DBH, out.Extrapolated = c.DBH(q.Age)
	}
	out.Height, out.Crown, out.Base = c.Height(out.DBH), c.Crown(out.DBH), c.CrownBase(out.DBH)
	return out, nil
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
