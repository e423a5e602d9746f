package scheduler

// CareRules are the figures for young trees and for broken ones. No publication
// was found for them: they are common practice, from memory, and a city may set
// each in its policy; a zero figure takes the default.
type CareRules struct {
	WarrantyMonths int `json:"warranty_months" yaml:"warranty_months"` // from planting; 0 for the establishment's end

	WaterSeasons int `json:"water_seasons" yaml:"water_seasons"` // growing seasons in which a planted tree is watered
	WaterWeeks   int `json:"water_weeks" yaml:"water_weeks"`     // at the first interval, from planting or the season's first day
	WaterFirst   int `json:"water_first_days" yaml:"water_first_days"`
	WaterThen    int `json:"water_then_days" yaml:"water_then_days"` // afterwards, to the season's end
	WaterLitres  int `json:"water_litres" yaml:"water_litres"`
	RainSkip     int `json:"rain_skip_mm" yaml:"rain_skip_mm"` // rain that stands for one watering

	SproutMonth int `json:"sprout_month" yaml:"sprout_month"` // of the year, in which basal sprouts are taken
	SproutYears int `json:"sprout_years" yaml:"sprout_years"` // from planting

	CleanDays    int   `json:"clean_days" yaml:"clean_days"`               // from making safe to clean cuts
	RestoreYears []int `json:"restoration_years" yaml:"restoration_years"` // after the breakage, the first of them a look only
	UnionDays    int   `json:"union_look_days" yaml:"union_look_days"`     // look at unions this long before the dormant season, where ice or snow breaks
}

// WithDefaults fills every zero figure but WarrantyMonths with common practice.
func (r CareRules) WithDefaults() CareRules {
	set := func(v *int, def int) {
		if *v == 0 {
			*v = def
		}
	}
	set(&r.WaterSeasons, 1)
	set(&r.WaterWeeks, 12)
	set(&r.WaterFirst, 7)
	set(&r.WaterThen, 14)
	set(&r.WaterLitres, 75)
	set(&r.RainSkip, 25)
	set(&r.SproutMonth, 6)
	set(&r.SproutYears, 10)
	set(&r.CleanDays, 14)
	set(&r.UnionDays, 60)
	if len(r.RestoreYears) == 0 {
		r.RestoreYears = []int{1, 3, 5}
	}
	return r
}

// Warranty is the length of the warranty of planted trees in months.
func (p *Policy) Warranty() int {
	if m := p.Care.WarrantyMonths; m > 0 {
		return m
	}
	return p.Practice.WithDefaults().EstablishBy
}

func (r *CareRules) check(d *policyDecoder) {
	for _, o := range []struct {
		key       string
		n, lo, hi int
	}{
		{"warranty_months", r.WarrantyMonths, 1, 60},
		{"water_seasons", r.WaterSeasons, 1, 5},
		{"water_weeks", r.WaterWeeks, 1, 52},
		{"water_first_days", r.WaterFirst, 1, 60},
		{"water_then_days", r.WaterThen, 1, 90},
		{"water_litres", r.WaterLitres, 1, 1000},
		{"rain_skip_mm", r.RainSkip, 1, 200},
		{"sprout_month", r.SproutMonth, 1, 12},
		{"sprout_years", r.SproutYears, 1, 60},
		{"clean_days", r.CleanDays, 1, 365},
		{"union_look_days", r.UnionDays, 1, 180},
	} {
		d.option("care."+o.key, o.n, o.lo, o.hi)
	}
	before := 0
	for i, y := range r.RestoreYears {
		at := joinPath("care", "restoration_years")
		if y <= before || y > 20 || i > 9 {
			d.refuse(at, "", "want up to ten years after the breakage in rising order, from 1 to 20")
		}
		before = y
	}
}
