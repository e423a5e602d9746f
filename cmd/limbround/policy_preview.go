package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strconv"

	"limbround/db"
	"limbround/geo/file"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type policyPreviewCmd struct {
	File string         `arg:"" type:"existingfile" help:"Policy file (YAML)."`
	AsOf scheduler.Date `help:"Day to judge by; today when empty." placeholder:"DATE"`
	List string         `help:"Write every visit that moves to this CSV file." placeholder:"FILE"`
}

// Run says what adopting the file would move, and adopts nothing.
func (c *policyPreviewCmd) Run(ctx context.Context, a *app) error {
	_, src, err := readPolicy(c.File)
	if err != nil {
		return err
	}
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	p, err := cityPolicy(ctx, d, src)
	if err != nil {
		return err
	}
	res, err := a.preview(ctx, d, p, c.AsOf, c.List)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) { previewText(w, &res) })
}

// preview compares the policy with the one in force and writes the visits that
// move to the file named by list, if any.
func (a *app) preview(ctx context.Context, d *db.DB, p scheduler.Policy, asOf scheduler.Date, list string) (res scheduler.PolicyPreview, err error) {
	verb := jobs.PolicyPreview{Store: d, Now: a.now}
	if tell := a.progress("trees"); tell != nil {
		verb.Progress = func(trees int) { tell(int64(trees), 0) }
	}
	if list == "" {
		return verb.Run(ctx, p, asOf)
	}
	f, err := os.Create(list)
	if err != nil {
		return res, scheduler.Wrap(scheduler.Invalid, "write list", err)
	}
	w := file.NewCSVWriter(f, []string{"tree", "district", "kind", "move", "due_before", "due_after", "days", "seasons", "state_before", "state_after"})
	verb.List = func(s *scheduler.VisitShift) error {
		return w.Write([]any{
			s.Tree, s.District, string(s.Kind), string(s.Move), s.Before, s.After, s.Days, s.Seasons,
			string(s.StateBefore), string(s.StateAfter),
		})
	}
	res, err = verb.Run(ctx, p, asOf)
	for _, end := range []func() error{w.Close, f.Close} {
		if failed := end(); failed != nil && err == nil {
			err = scheduler.Wrap(scheduler.Unavailable, "write list", failed)
		}
	}
	return res, err
}

func previewText(w io.Writer, p *scheduler.PolicyPreview) {
	fmt.Fprintf(w, "%s instead of %s, as of %s: %s\n", p.Policy, p.Before, p.AsOf, p.Words)
	if p.Looked < p.Trees {
		fmt.Fprintf(w, "The change can touch %d of %d trees.\n", p.Looked, p.Trees)
	}
	row := func(name string, c scheduler.MoveCount) []string {
		return []string{name, strconv.Itoa(c.Earlier), strconv.Itoa(c.Later), strconv.Itoa(c.New), strconv.Itoa(c.Withdrawn), strconv.Itoa(c.Restated)}
	}
	head := []string{"", "earlier", "later", "new", "withdrawn", "other state"}
	if len(p.ByKind) > 0 {
		var rows [][]string
		for _, k := range p.ByKind {
			rows = append(rows, row(text(k.Kind), k.MoveCount))
		}
		head[0] = "work"
		table(w, head, rows)
	}
	if len(p.ByDistrict) > 0 {
		var rows [][]string
		for _, d := range p.ByDistrict {
			name := d.District
			if name == "" {
				name = "outside every district"
			}
			rows = append(rows, row(name, d.MoveCount))
		}
		head[0] = "district"
		table(w, head, rows)
	}
	var rows [][]string
	for _, s := range p.States {
		if s.From != "" && s.To != "" {
			rows = append(rows, []string{text(s.From), text(s.To), strconv.Itoa(s.Visits)})
		}
	}
	if len(rows) > 0 {
		table(w, []string{"state now", "state then", "visits"}, rows)
	}
}
