package main

import (
	"context"
	"fmt"
	"io"
	"strconv"

	"limbround/scheduler/jobs"
)

type growthCalibrateCmd struct {
	Least int `help:"Least number of measured trees of a species for a shift." default:"10"`
}

// Run reads the city's living trees that have a planting date and a dbh
// measured later. It writes nothing.
func (c *growthCalibrateCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	res, err := jobs.Calibrate{Store: d, Now: a.now}.Run(ctx, jobs.CalibrateRequest{Least: c.Least})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) { calibrateText(w, &res) })
}

func calibrateText(w io.Writer, r *jobs.CalibrateResult) {
	fmt.Fprintf(w, "%d measured trees against the curves of %s under %s.\n", r.Trees, r.Region, r.Policy)
	var rows [][]string
	for _, c := range r.Rows {
		rows = append(rows, []string{
			c.Species, c.Curve, strconv.Itoa(c.Trees), strconv.Itoa(c.OffRange), strconv.Itoa(c.Doubtful),
			fmt.Sprintf("%+.1f %%", c.Bias), fmt.Sprintf("%.1f %%", c.Spread), fmt.Sprintf("%+g %%", c.Shift), fmt.Sprintf("%+g %%", c.InForce),
		})
	}
	table(w, []string{"species", "curve", "trees", "off range", "doubtful", "bias", "spread", "shift", "in force"}, rows)
	for _, c := range r.Rows {
		fmt.Fprintf(w, "%s: %s\n", c.Species, c.Words)
	}
	if r.YAML == "" {
		fmt.Fprintln(w, "No shift to propose.")
		return
	}
	fmt.Fprintf(w, "\nThe growth section of the policy with these shifts; adopting a policy without the lines is the way back:\n\n%s", r.YAML)
}
