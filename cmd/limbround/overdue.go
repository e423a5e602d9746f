package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"time"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type overdueCmd struct {
	By     string         `help:"How to group." enum:"district" default:"district"`
	Night  scheduler.Date `help:"The table as it was on a past night; as of the last due pass when empty." placeholder:"DATE"`
	Nights bool           `help:"List the nights of which a table was kept."`
}

// Run prints the analyst's table as of the last due pass or of a past night.
func (c *overdueCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	if c.Nights {
		return a.showNights(ctx, d)
	}
	t, err := jobs.Overdue{Store: d}.Run(ctx, c.Night)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, t, func(w io.Writer) {
		fmt.Fprintf(w, "As of %s, under policy %d. A tree without any record is not assessed, which is not overdue.\n", t.AsOf, t.PolicyID)
		var rows [][]string
		for _, r := range append(t.Rows, t.Total) {
			name := r.Name
			if name == "" {
				name = "outside every district"
			}
			n := func(s scheduler.VisitState) string { return strconv.Itoa(r.Visits[s]) }
			rows = append(rows, []string{
				name, strconv.Itoa(r.Trees), n(scheduler.Overdue), n(scheduler.OverdueClosed), n(scheduler.Due), n(scheduler.Held),
				n(scheduler.NotAssessed), fmt.Sprintf("%.1f %%", 100*r.Share), r.Oldest.String(), fmt.Sprintf("%.0f", r.CrewHours),
			})
		}
		table(w, []string{"district", "trees", "workable now", "closed season", "due", "held", "not assessed", "share overdue", "oldest", "hours"}, rows)
	})
}

// showNights lists the nights that can be looked back to.
func (a *app) showNights(ctx context.Context, d *db.DB) error {
	nights, err := d.OverdueNights(ctx)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, nights, func(w io.Writer) {
		var rows [][]string
		for _, n := range nights {
			rows = append(rows, []string{n.Night.String(), strconv.Itoa(n.Trees), strconv.Itoa(n.Late), strconv.FormatInt(n.PolicyID, 10), n.MadeAt.Format(time.DateTime)})
		}
		table(w, []string{"night", "trees", "trees overdue", "policy", "made"}, rows)
	})
}
