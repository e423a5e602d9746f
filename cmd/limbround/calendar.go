package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type calendarCmd struct {
	Tree  string         `arg:"" help:"The city's number of the tree."`
	Years int            `help:"Years to look ahead." default:"20"`
	AsOf  scheduler.Date `help:"Day to start from; today when empty." placeholder:"DATE"`
}

// Run prints one tree's trips, as if each were made on time.
func (c *calendarCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	res, err := jobs.Calendar{Store: d, Now: a.now}.Run(ctx, jobs.CalendarRequest{Tree: c.Tree, Years: c.Years, AsOf: c.AsOf})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) {
		what := res.Species.Common
		if what == "" || res.Tree.State != scheduler.Alive {
			what = strings.TrimSpace(text(res.Tree.State) + " " + what)
		}
		fmt.Fprintf(w, "%s, %s, %s\n", res.Tree.Ref, what, res.Site.Address)
		for i := range res.Visits {
			visitText(w, &res.Visits[i])
		}
	})
}
