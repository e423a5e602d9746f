package jobs

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// GrowthStore reads what the city knows of how its trees grew.
type GrowthStore interface {
	RuleStore
	// MeasuredTrees hands each living tree with one stem, a planting date and a
	// dbh measured later to fn; an error of fn ends it.
	MeasuredTrees(ctx context.Context, fn func(species string, planted, measured scheduler.Date, dbh geo.Length) error) error
}

// Calibrate holds the city's measured trees against the curves in use and
// proposes shifts of dbh for the policy. Nothing is written: a shift takes
// effect by adopting a policy with its line, and ends by adopting one without.
type Calibrate struct {
	Store GrowthStore
	Now   func() time.Time
}

// CalibrateRequest gives the least number of trees of a species for a shift; 0
// takes common practice.
type CalibrateRequest struct{ Least int }

// CalibrateResult is one row for each species with a measured tree.
type CalibrateResult struct {
	Policy string               `json:"policy"`
	Region string               `json:"region"`
	Trees  int                  `json:"trees"`
	Rows   []growth.Calibration `json:"rows"`
	YAML   string               `json:"yaml"` // the growth section of the policy with the proposed shifts; empty for none
}

// Run reads all measured trees.
func (c Calibrate) Run(ctx context.Context, q CalibrateRequest) (CalibrateResult, error) {
	var out CalibrateResult
	r, err := loadRules(ctx, c.Store, c.Now(), 0)
	if err != nil {
		return out, err
	}
	model, err := growth.Load()
	if err != nil {
		return out, fmt.Errorf("load growth curves: %w", err)
	}
	plain, inForce := r.policy.Growth.Unshifted()
	k, err := growth.NewCalibrator(func(code string) (growth.Curve, float64) {
		curve, _ := model.CurveUnder(r.policy.Region, plain, r.species[code]) // the engine has refused what it would fault
		return curve, inForce[code]
	}, q.Least)
	if err != nil {
		return out, err
	}
	err = c.Store.MeasuredTrees(ctx, func(species string, planted, measured scheduler.Date, dbh geo.Length) error {
		k.Add(growth.Sample{Species: species, Age: planted.YearsTo(measured), DBH: dbh.CM()})
		out.Trees++
		return nil
	})
	if err != nil {
		return out, err
	}
	out.Policy, out.Region, out.Rows = r.policy.Name, r.policy.Region, k.Rows()
	out.YAML = growthYAML(r.policy.Growth, out.Rows, r.today)
	return out, nil
}

// growthYAML writes the growth section of the policy with the proposed shifts
// in the place of those in force; lines of other species stay as they are.
func growthYAML(rules scheduler.GrowthRules, rows []growth.Calibration, today scheduler.Date) string {
	lines := slices.Clone(rules.Species)
	proposed := false
	for _, c := range rows {
		if !c.Rule {
			continue
		}
		proposed = true
		line := scheduler.SpeciesGrowth{Species: c.Species}
		i := slices.IndexFunc(lines, func(l scheduler.SpeciesGrowth) bool { return l.Species == c.Species })
		if i >= 0 {
			line = lines[i]
		}
		line.DBHShift = c.Shift
		line.Source = fmt.Sprintf("measured by the city: %d trees, %s", c.Trees, today)
		if i >= 0 {
			lines[i] = line
		} else {
			lines = append(lines, line)
		}
	}
	if !proposed {
		return ""
	}
	var b strings.Builder
	b.WriteString("growth:\n  species:\n")
	for _, l := range lines {
		fmt.Fprintf(&b, "    - species: %s\n", l.Species)
		if l.Curve != "" {
			fmt.Fprintf(&b, "      curve: %q\n", l.Curve)
		}
		if l.Region != "" {
			fmt.Fprintf(&b, "      region: %s\n", l.Region)
		}
		if l.DBHShift != 0 {
			fmt.Fprintf(&b, "      dbh_shift_pct: %g\n", l.DBHShift)
		}
		fmt.Fprintf(&b, "      source: %q\n", l.Source)
	}
	return b.String()
}
