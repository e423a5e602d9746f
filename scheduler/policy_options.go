package scheduler

import "strconv"

// The blocks of a policy that may be left out in whole or in part: a figure
// that is left out takes common practice. A zero is refused, since it would
// silently take the default too.

func (p *PracticeRules) check(d *policyDecoder) {
	for _, o := range []struct {
		key       string
		n, lo, hi int
	}{
		{"legal_days", p.LegalDays, 1, 365},
		{"stem_growth_pct", p.StemGrowthPct, 10, 200},
		{"branch_growth_pct", p.BranchGrowthPct, 5, 200},
		{"reduced_growth_pct", p.ReducedPct, 5, 100},
		{"leader_work_pct", p.LeaderWorkPct, 20, 100},
		{"establish_from_months", p.EstablishFrom, 1, 36},
		{"establish_by_months", p.EstablishBy, 1, 48},
		{"warranty_days", p.WarrantyDays, 1, 365},
		{"removal_days", p.RemovalDays, 1, 730},
		{"decide_years", p.DecideYears, 1, 40},
		{"training_take_pct", p.TrainingTakePct, 1, 50},
		{"crown_rise_pct", p.CrownRisePct, 5, 300},
	} {
		d.option("practice."+o.key, o.n, o.lo, o.hi)
	}
	if d.given("practice.lane_tolerance") {
		d.length("practice.lane_tolerance", p.LaneTolerance, 10, 1000)
	}
	p.checkCuts(d)
	from, by := p.WithDefaults().EstablishFrom, p.WithDefaults().EstablishBy
	if d.given("practice.establish_by_months") && by < from {
		d.refuse("practice.establish_by_months", strconv.Itoa(by), "is before establish_from_months (%d)", from)
	}
}

func (r *FollowUpRules) check(d *policyDecoder) {
	for _, o := range []struct {
		key   string
		n, hi int
	}{
		{"weather_days", r.Weather, 60},
		{"nest_days", r.Nest, 365},
		{"resident_days", r.Resident, 180},
		{"utility_days", r.Utility, 365},
		{"sign_lead_days", r.Signs, 60},
		{"site_check_days", r.SiteCheck, 365},
		{"make_safe_0_hours", r.MakeSafe0, 72},
		{"make_safe_1_hours", r.MakeSafe1, 720},
	} {
		d.option("follow_up."+o.key, o.n, 1, o.hi)
	}
	if _, given := d.lines["follow_up"]; given {
		d.text("follow_up.source", r.Source)
	}
}
