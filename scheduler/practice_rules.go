package scheduler

import "limbround/geo"

// PracticeRules are the figures that no publication was found for. They are
// common practice, from memory, and a city may set each in its policy; a zero
// figure takes the default.
type PracticeRules struct {
	LegalDays       int `json:"legal_days" yaml:"legal_days"`                 // days to act when foliage is below a legal height (class 2: weeks)
	StemGrowthPct   int `json:"stem_growth_pct" yaml:"stem_growth_pct"`       // growth of a competing leader in equal light, per cent of its parent stem's
	BranchGrowthPct int `json:"branch_growth_pct" yaml:"branch_growth_pct"`   // growth of a shaded low branch, per cent of its parent stem's
	ReducedPct      int `json:"reduced_growth_pct" yaml:"reduced_growth_pct"` // what is left of either after about half the foliage came off
	LeaderWorkPct   int `json:"leader_work_pct" yaml:"leader_work_pct"`       // height of leader cuts, per cent of tree height
	EstablishFrom   int `json:"establish_from_months" yaml:"establish_from_months"`
	EstablishBy     int `json:"establish_by_months" yaml:"establish_by_months"` // stakes off
	WarrantyDays    int `json:"warranty_days" yaml:"warranty_days"`             // inspection this long before the warranty ends
	RemovalDays     int `json:"removal_days" yaml:"removal_days"`               // days to take down a dead tree that can reach a target
	DecideYears     int `json:"decide_years" yaml:"decide_years"`               // from the season in which a weak union's stem passes the largest cut to the decision about the tree
	TrainingTakePct int `json:"training_take_pct" yaml:"training_take_pct"`     // least live crown a training visit is worth making for
	CrownRisePct    int `json:"crown_rise_pct" yaml:"crown_rise_pct"`           // height of the widest part of a crown above its base, per cent of its radius

	LaneTolerance geo.Length `json:"lane_tolerance_mm" yaml:"lane_tolerance"` // foliage this far past the curb hangs over the gutter, and is not yet below the legal height

	// The cut table: three rows that end at a cut's diameter, and two ratios of the cut to its parent stem.
	CutRows   []geo.Length `json:"cut_rows_mm" yaml:"cut_rows"`
	CutRatios []float64    `json:"cut_ratios" yaml:"cut_ratios"`
}

// WithDefaults fills every zero figure with common practice.
func (p PracticeRules) WithDefaults() PracticeRules {
	set := func(v *int, def int) {
		if *v == 0 {
			*v = def
		}
	}
	set(&p.LegalDays, 42)
	set(&p.StemGrowthPct, 100)
	set(&p.BranchGrowthPct, 40)
	set(&p.ReducedPct, 50)
	set(&p.LeaderWorkPct, 55)
	set(&p.EstablishFrom, 6)
	set(&p.EstablishBy, 12)
	set(&p.WarrantyDays, 45)
	set(&p.RemovalDays, 90)
	set(&p.DecideYears, 8)
	set(&p.TrainingTakePct, 10)
	set(&p.CrownRisePct, 80)
	if p.LaneTolerance == 0 {
		p.LaneTolerance = 300
	}
	if len(p.CutRows) == 0 {
		p.CutRows = []geo.Length{25, 50, 100}
	}
	if len(p.CutRatios) == 0 {
		p.CutRatios = []float64{0.333, 0.5}
	}
	return p
}
