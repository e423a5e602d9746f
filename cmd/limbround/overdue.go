package main

import (
	"context"
	"fmt"
	"io"
	"strconv"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type overdueCmd struct {
	By string `help:"How to group." enum:"district" default:"district"`
}

// Run prints the analyst's table as of the last due pass.
func (c *overdueCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	t, err := jobs.Overdue{Store: d}.Run(ctx)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, t, func(w io.Writer) {
		fmt.Fprintf(w, "As of %s. A tree without any record is not assessed, which is not overdue.\n", t.AsOf)
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
