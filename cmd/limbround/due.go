package main

import (
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type dueCmd struct {
	AsOf    scheduler.Date `help:"Day to judge by; today when empty." placeholder:"DATE"`
	Explain bool           `help:"Print the visits of the trees named with --tree, each with its reasons."`
	Tree    []string       `help:"Only these trees, by the city's number."`
	Full    bool           `help:"Look at every tree, also at those whose facts have not changed since today's last pass."`
}

// Run makes the due pass.
func (c *dueCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	var tell scheduler.DueProgress
	if p := a.progress("trees"); p != nil {
		tell = func(trees int) { p(int64(trees), 0) }
	}
	res, err := jobs.Due{Store: d, Now: a.now, Progress: tell}.Run(ctx, jobs.DueRequest{AsOf: c.AsOf, Trees: c.Tree, Full: c.Full, Explain: c.Explain, Actor: a.stamp().Actor})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) { dueText(w, &res) })
}

func dueText(w io.Writer, r *jobs.DueResult) {
	fmt.Fprintf(w, "%d trees as of %s under %s: %d open visits, %d due, %d overdue. Looked at %d trees: %d visits new, %d changed, %d withdrawn, %d unchanged.\n",
		r.Trees, r.AsOf, r.Policy, r.Visits, r.Due, r.Overdue, r.Looked, r.Written.New, r.Written.Changed, r.Written.Withdrawn, r.Written.Unchanged)
	if r.Looked < r.Trees {
		fmt.Fprintln(w, "The other trees have not changed since today's last pass; --full looks at every tree.")
	}
	var rows [][]string
	for _, s := range slices.Sorted(maps.Keys(r.ByState)) {
		rows = append(rows, []string{text(s), strconv.Itoa(r.ByState[s])})
	}
	table(w, []string{"state", "visits"}, rows)
	rows = nil
	for _, k := range slices.Sorted(maps.Keys(r.ByKind)) {
		rows = append(rows, []string{text(k), strconv.Itoa(r.ByKind[k])})
	}
	table(w, []string{"work", "visits"}, rows)
	for _, t := range r.Explains {
		fmt.Fprintf(w, "\n%s\n", t.Ref)
		for i := range t.Visits {
			visitText(w, &t.Visits[i])
		}
	}
}

// visitText prints one visit with its reasons.
func visitText(w io.Writer, v *scheduler.Visit) {
	kinds := make([]string, len(v.Kinds))
	for i, k := range v.Kinds {
		kinds[i] = text(k)
	}
	fmt.Fprintf(w, "%s: %s [%s] class %d, %d min, %s crew\n", v.When(), strings.Join(kinds, ", "), text(v.State), v.Class, v.Minutes, text(v.Skill))
	for _, o := range v.Objectives {
		fmt.Fprintf(w, "    do: %s\n", o)
	}
	for _, r := range v.Reasons {
		fmt.Fprintf(w, "    why: %s (%s)\n", r.Text, r.Source)
	}
}

// text prints a stored word for a person.
func text(v any) string { return strings.ReplaceAll(fmt.Sprint(v), "_", " ") }
