package scheduler

// AdviseRules are the figures behind the advice on one branch that no
// publication was found for: common practice, from memory. The block may be left
// out of a policy; a zero figure takes the default. No date hangs on them.
type AdviseRules struct {
	ReducePct    int `json:"reduce_pct" yaml:"reduce_pct"`         // foliage of a competing stem that one reduction takes, per cent of its own
	SlowsFrom    int `json:"slows_from_pct" yaml:"slows_from_pct"` // a reduction by less than this does not slow the stem
	EndWeightPct int `json:"end_weight_pct" yaml:"end_weight_pct"` // foliage that lightening a limb's end takes, per cent of its own
	LateralPct   int `json:"lateral_pct" yaml:"lateral_pct"`       // least side branch to reduce to, per cent of the cut stem
	SideDosePct  int `json:"side_dose_pct" yaml:"side_dose_pct"`   // what one side or leader may give of the tree's dose, per cent
	SpreadPct    int `json:"spread_pct" yaml:"spread_pct"`         // how far the growth of a branch may lie off the mean, either way
}

// WithDefaults fills every zero figure with common practice.
func (r AdviseRules) WithDefaults() AdviseRules {
	for _, f := range []struct {
		v   *int
		def int
	}{
		{&r.ReducePct, 50},
		{&r.SlowsFrom, 25},
		{&r.EndWeightPct, 20},
		{&r.LateralPct, 33},
		{&r.SideDosePct, 60},
		{&r.SpreadPct, 30},
	} {
		if *f.v == 0 {
			*f.v = f.def
		}
	}
	return r
}

func (r *AdviseRules) check(d *policyDecoder) {
	for _, o := range []struct {
		key       string
		n, lo, hi int
	}{
		{"reduce_pct", r.ReducePct, 10, 90},
		{"slows_from_pct", r.SlowsFrom, 5, 90},
		{"end_weight_pct", r.EndWeightPct, 5, 40},
		{"lateral_pct", r.LateralPct, 25, 60},
		{"side_dose_pct", r.SideDosePct, 20, 100},
		{"spread_pct", r.SpreadPct, 5, 80},
	} {
		d.option("advise."+o.key, o.n, o.lo, o.hi)
	}
}
