package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"time"

	"limbround/geo/file"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type importCmd struct {
	Layer importLayerCmd `cmd:"" default:"withargs" help:"Bring a file in: trees, history, streets, walks, wires, signs, districts, sections, depots, dumps or crews."`
	Apply importApplyCmd `cmd:"" help:"Apply a batch that import --hold left staged and checked."`
	Drop  importDropCmd  `cmd:"" help:"Drop a batch that was staged and not applied."`
	Undo  importUndoCmd  `cmd:"" help:"Bring the database back to what it was before a batch."`
	List  importListCmd  `cmd:"" help:"List the batches."`
}

type importLayerCmd struct {
	Layer   string    `arg:"" help:"Layer that the file holds."`
	File    string    `arg:"" type:"existingfile" help:"CSV, GeoJSON, newline-delimited GeoJSON, or an OpenStreetMap extract for streets."`
	Mapping string    `help:"Mapping file (YAML): columns, units, coordinate system, date style, species aliases." type:"existingfile" placeholder:"FILE"`
	Propose bool      `help:"Print a mapping guessed from a sample, each guess marked, and stop."`
	Hold    bool      `help:"Stage and check, show the differences, and leave it to import apply to bring the batch in." xor:"hold"`
	DryRun  bool      `help:"Check everything and show the differences; change nothing." xor:"hold"`
	Rejects string    `help:"File for the rejected rows; INPUT.rejects.csv when empty." type:"path" placeholder:"FILE"`
	Box     []float64 `help:"Keep only what touches this box of degrees: west,south,east,north; with an equals sign when it begins with a minus, --box=-85.3,40,-85.1,40.2."`
}

// Run imports the file. Rows that break a rule go to the rejects file; the rest goes in.
func (c *importLayerCmd) Run(ctx context.Context, a *app) error {
	if c.Propose {
		return jobs.Propose(a.out, c.Layer, c.File, scheduler.DateOf(a.now()))
	}
	q := jobs.ImportRequest{
		Layer: c.Layer, Path: c.File, MappingPath: c.Mapping, RejectsPath: c.Rejects, DryRun: c.DryRun, Actor: a.stamp().Actor,
	}
	if c.Box != nil {
		if len(c.Box) != 4 {
			return scheduler.Errorf(scheduler.Invalid, "box: want four degrees, west,south,east,north; there are %d", len(c.Box))
		}
		q.Box = &file.Box{MinLon: c.Box[0], MinLat: c.Box[1], MaxLon: c.Box[2], MaxLat: c.Box[3]}
	}
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	im := jobs.Import{Store: d, Now: a.now, Progress: a.progress("rows")}
	if c.Hold {
		im.Hold = d
	}
	res, err := im.Run(ctx, q)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) { importText(w, &res) })
}

func importText(w io.Writer, r *jobs.ImportResult) {
	word := fmt.Sprintf("batch %d", r.Batch)
	switch {
	case r.DryRun:
		word = "dry run, nothing changed"
	case r.Held:
		word += ", held, nothing changed"
	}
	fmt.Fprintf(w, "%s from %s (%s): read %d, accepted %d (new %d, changed %d, unchanged %d, merged %d), rejected %d\n",
		r.Layer, r.File, word, r.Read, r.Accepted, r.New, r.Changed, r.Unchanged, r.Merged, r.Rejected)
	for _, f := range r.Faults {
		fmt.Fprintln(w, "  "+f.String())
	}
	for _, e := range r.Examples {
		fmt.Fprintf(w, "  line %d, %s: %s was %q, becomes %q\n", e.Line, e.Ref, e.Field, e.Before, e.After)
	}
	for _, n := range r.Notes {
		fmt.Fprintln(w, "  "+n)
	}
	if r.RejectsFile != "" {
		fmt.Fprintf(w, "  every rejected row with its reasons: %s\n", r.RejectsFile)
	}
	if r.Held {
		fmt.Fprintf(w, "  to bring it in: limbround import apply %d; to drop it: limbround import drop %d\n", r.Batch, r.Batch)
	}
}

type importUndoCmd struct {
	Batch int64 `arg:"" help:"Batch as printed by the import."`
}

// Run takes the batch back, row for row.
func (c *importUndoCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	res, err := jobs.ImportUndo{Store: d, Now: a.now}.Run(ctx, jobs.ImportUndoRequest{Batch: c.Batch, Actor: a.stamp().Actor})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) {
		fmt.Fprintf(w, "Batch %d (%s) is undone: %d rows removed, %d as they were before.\n", res.Batch, res.Layer, res.Removed, res.Restored)
	})
}

type importListCmd struct{}

// Run lists what was brought in, newest first.
func (c *importListCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	list, err := d.ListBatches(ctx)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, list, func(w io.Writer) {
		var rows [][]string
		for _, b := range list {
			n := func(v int64) string { return strconv.FormatInt(v, 10) }
			rows = append(rows, []string{n(b.ID), b.Layer, b.File, b.State, b.Started.Format(time.DateTime), n(b.Counts.Read), n(b.Counts.Accepted), n(b.Counts.Rejected), b.Actor})
		}
		table(w, []string{"batch", "layer", "file", "state", "started", "read", "accepted", "rejected", "by"}, rows)
	})
}
