package main

import (
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type yearCmd struct {
	Plan  yearPlanCmd  `cmd:"" help:"Make a draft annual plan: a week or a reason for each visit."`
	Adopt yearAdoptCmd `cmd:"" help:"Make a draft the plan of its year."`
	List  yearListCmd  `cmd:"" help:"List the plans."`
}

type yearPlanCmd struct {
	Year int            `help:"Year to plan." required:""`
	AsOf scheduler.Date `help:"Day from which weeks can be planned; today when empty." placeholder:"DATE"`
}

// Run makes and stores the draft.
func (c *yearPlanCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	res, err := jobs.Plan{Store: d, Now: a.now}.Run(ctx, jobs.PlanRequest{Year: c.Year, AsOf: c.AsOf, Actor: a.stamp().Actor})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) { planText(w, &res) })
}

func planText(w io.Writer, r *jobs.PlanResult) {
	fmt.Fprintf(w, "Plan %d for %d, version %d: %d visits planned, %d carried over; %.0f of %.0f crew hours\n",
		r.Plan, r.Year, r.Version, r.Planned, r.Carried, r.Hours, r.Available)
	for i, o := range r.Objective {
		if o > 0 || r.Bound[i] > 0 {
			fmt.Fprintf(w, "  class %d: weighted lateness %d, proven least %d (gap %.1f %%)\n", i, o, r.Bound[i], r.GapPct[i])
		}
	}
	for _, why := range slices.Sorted(maps.Keys(r.Reasons)) {
		fmt.Fprintf(w, "  carried over: %d, %s\n", r.Reasons[why], why)
	}
}

type yearAdoptCmd struct {
	Plan     int64 `arg:"" help:"Number of the plan."`
	Revision int   `help:"Revision that you saw." default:"1"`
}

// Run adopts the plan; the one adopted before is superseded.
func (c *yearAdoptCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.AdoptPlan(ctx, c.Plan, c.Revision, a.stamp()); err != nil {
		return err
	}
	p, err := d.Plan(ctx, c.Plan)
	if err != nil {
		return err
	}
	p.Lines = nil // the whole plan is GET /api/v1/plans/{id}
	return a.show(a.cli.JSON, p, func(w io.Writer) {
		fmt.Fprintf(w, "Plan %d is the plan of %d, adopted by %s on %s.\n", p.ID, p.Year, p.AdoptedBy, p.Adopted)
	})
}

type yearListCmd struct {
	Year int `help:"Only this year; 0 for all." default:"0"`
}

// Run lists the plans, newest first.
func (c *yearListCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	list, err := d.PlanList(ctx, c.Year)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, list, func(w io.Writer) {
		var rows [][]string
		for _, p := range list {
			rows = append(rows, []string{
				strconv.FormatInt(p.ID, 10), strconv.Itoa(p.Year), strconv.Itoa(p.Version), text(p.State), p.MadeOn.String(),
				fmt.Sprintf("%.0f", p.Hours), fmt.Sprintf("%.0f", p.Available), strconv.Itoa(p.Revision),
			})
		}
		table(w, []string{"plan", "year", "version", "state", "made", "hours", "of", "revision"}, rows)
	})
}
