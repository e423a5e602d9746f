package main

import (
	"context"
	"fmt"
	"io"
	"strconv"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type deviationsCmd struct {
	List deviationsListCmd `cmd:"" default:"withargs" help:"List where work departed from the policy in force."`
	Add  deviationsAddCmd  `cmd:"" help:"Write a departure into the log that no work record shows."`
}

type deviationsListCmd struct {
	Since scheduler.Date `help:"Only work from this day on." placeholder:"DATE"`
	After int64          `help:"Only entries after this number."`
	Limit int            `help:"Entries to list, at most." default:"100"`
}

// Run lists the log, oldest entry first, and says how many entries there are.
func (c *deviationsListCmd) Run(ctx context.Context, a *app) error {
	return listing[scheduler.Deviation]{
		limit: c.Limit, more: "more; read on with --after",
		head: []string{"number", "day", "tree", "rule", "allowed", "found", "approved by", "why", "policy"},
		read: func(d *db.DB) ([]scheduler.Deviation, int, error) {
			return d.DeviationList(ctx, c.Since, c.After, c.Limit)
		},
		row: func(d *scheduler.Deviation) []string {
			return []string{
				strconv.FormatInt(d.ID, 10), d.On.String(), d.Tree, text(d.Rule), d.Allowed, d.Found, d.ApprovedBy, d.Why, strconv.FormatInt(d.PolicyID, 10),
			}
		},
	}.run(ctx, a)
}

type deviationsAddCmd struct {
	Rule       string         `required:"" enum:"live_crown,closed_season,cut_size,cut_table,crown_base,growing_season,wire,other" help:"Rule departed from: ${enum}."`
	Why        string         `required:"" help:"Why."`
	ApprovedBy string         `required:"" help:"Who approved it."`
	Tree       string         `help:"The city's number of the tree."`
	On         scheduler.Date `help:"Day of the departure; today when empty." placeholder:"DATE"`
}

// Run writes the manager's own entry.
func (c *deviationsAddCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	v, err := jobs.AddDeviation{Store: d, Now: a.now}.Run(ctx, jobs.DeviationRequest{
		Rule: scheduler.DeviationRule(c.Rule), Why: c.Why, ApprovedBy: c.ApprovedBy, Tree: c.Tree, On: c.On, Actor: a.stamp().Actor,
	})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, v, func(w io.Writer) {
		fmt.Fprintf(w, "Logged as number %d, %s, under policy %d.\n", v.ID, v.On, v.PolicyID)
	})
}
