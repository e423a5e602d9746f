// Package jobs holds the verbs of Limbround: what a person or a schedule asks
// for, with the input and output it needs. Each verb states the narrow store it
// works on.
package jobs

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"path/filepath"
	"slices"
	"time"

	"limbround/geo/file"
	"limbround/scheduler"
)

// ImportStore keeps what is imported. A batch goes OpenBatch, Stage,
// CheckStaged, then ApplyBatch or DiscardBatch.
type ImportStore interface {
	ImportFacts
	ImportStage
	ImportEnd
}

// ImportFacts are the settings and tables an import reads. The metric
// coordinate system is set once, by the first import with positions.
type ImportFacts interface {
	City(ctx context.Context) (scheduler.City, error)
	SetCitySRID(ctx context.Context, srid int, by scheduler.Stamp) error
	Species(ctx context.Context) ([]scheduler.Species, error)
}

// ImportStage takes rows in and judges them; it MUST touch nothing but the stage.
type ImportStage interface {
	OpenBatch(ctx context.Context, layer, file string, by scheduler.Stamp) (int64, error)
	// Stage copies the rows into the stage of the batch and returns how many.
	// It must take rows as they come: the sequence reads the file.
	Stage(ctx context.Context, batch int64, layer scheduler.Layer, rows iter.Seq[scheduler.Row]) (int64, error)
	// CheckStaged applies the rules between rows and against the database; rows
	// with faults leave the stage.
	CheckStaged(ctx context.Context, batch int64, layer scheduler.Layer, today scheduler.Date) (scheduler.Diff, error)
}

// ImportEnd ends a batch. ApplyBatch MUST be one transaction.
type ImportEnd interface {
	ApplyBatch(ctx context.Context, batch int64, layer scheduler.Layer, counts scheduler.BatchCounts, by scheduler.Stamp) error
	DiscardBatch(ctx context.Context, batch int64, by scheduler.Stamp) error
}

// Import is the front door: it reads one file into one layer. Every row is
// either accepted or written to the rejects file with each rule it breaks.
type Import struct {
	Store    ImportStore
	Hold     HoldStore // when set, a checked batch is left staged, with its counts, instead of applied
	Now      func() time.Time
	Progress func(done, total int64) // called now and then while the file is read; may be nil
}

// Run imports one file. It returns Invalid when the file or the mapping cannot
// be used, or when no row of the file is acceptable; the result is filled in
// then too, as far as the import came.
func (im Import) Run(ctx context.Context, q ImportRequest) (ImportResult, error) {
	out := ImportResult{Layer: q.Layer, File: filepath.Base(q.Path), DryRun: q.DryRun}
	layer, ok := scheduler.LayerNamed(q.Layer)
	if !ok {
		return out, noLayer(q.Layer)
	}
	r := &importRun{
		Import: im, q: q, layer: layer, out: &out,
		by: scheduler.Stamp{Actor: q.Actor, At: im.Now()}, rejects: newRejects(q.rejectsPath()),
	}
	defer r.rejects.abandon()
	err := r.run(ctx)
	return out, err
}

func (q *ImportRequest) rejectsPath() string {
	if q.RejectsPath != "" {
		return q.RejectsPath
	}
	return q.Path + ".rejects.csv"
}

func noLayer(name string) error {
	var names []string
	for _, l := range scheduler.Layers() {
		names = append(names, l.Name)
	}
	return &scheduler.Error{
		Kind: scheduler.Invalid, Message: fmt.Sprintf("there is no layer %q", name),
		Hint: fmt.Sprintf("the layers are %v", names),
	}
}

// importRun is one import on its way.
type importRun struct {
	Import
	q       ImportRequest
	layer   scheduler.Layer
	by      scheduler.Stamp
	options file.Options
	reader  *reader
	rejects *rejects
	out     *ImportResult
	readErr error // what ended the reading early
}

func (r *importRun) run(ctx context.Context) error {
	city, err := r.prepare(ctx)
	if err != nil {
		return err
	}
	batch, err := r.Store.OpenBatch(ctx, r.layer.Name, r.out.File, r.by)
	if err != nil {
		return err
	}
	keep, err := r.fill(ctx, batch, city)
	if keep {
		r.out.Batch = batch
		return err
	}
	// The batch must not stay open, not even when the import was cancelled.
	return errors.Join(err, r.Store.DiscardBatch(context.WithoutCancel(ctx), batch, r.by))
}

// fill stages, checks and applies; keep says that the batch was applied or is held.
func (r *importRun) fill(ctx context.Context, batch int64, city scheduler.City) (keep bool, err error) {
	staged, err := r.stage(ctx, batch)
	if err != nil {
		return false, err
	}
	if err := r.setSRID(ctx, city, staged); err != nil {
		return false, err
	}
	diff, err := r.check(ctx, batch, staged)
	if err != nil {
		return false, err
	}
	if err := r.count(diff, staged); err != nil {
		return false, err
	}
	if r.out.RejectsFile, err = r.rejects.finish(); err != nil {
		return false, err
	}
	if r.out.Accepted == 0 {
		return false, r.nothing()
	}
	if r.q.DryRun {
		return false, nil
	}
	counts := scheduler.BatchCounts{
		Read: r.out.Read, Accepted: r.out.Accepted, Rejected: r.out.Rejected, Merged: r.out.Merged, Unchanged: r.out.Unchanged,
	}
	if r.Hold != nil {
		err = r.Hold.HoldBatch(ctx, batch, counts, r.by)
		r.out.Held = err == nil
		return err == nil, err
	}
	if err := r.Store.ApplyBatch(ctx, batch, r.layer, counts, r.by); err != nil {
		return false, err
	}
	return true, nil
}

// setSRID fixes the city's metric system at its first rows with a position.
func (r *importRun) setSRID(ctx context.Context, city scheduler.City, staged int64) error {
	if city.SRID != 0 || r.layer.Geometry == scheduler.GeometryNone || staged == 0 {
		return nil
	}
	srid, err := citySRID(r.reader.plan, r.reader.mid)
	if err != nil {
		return err
	}
	r.out.SRID = srid
	if r.q.DryRun {
		r.out.Notes = append(r.out.Notes, fmt.Sprintf("the database has no coordinate system yet; this import would set EPSG:%d", srid))
		return nil
	}
	return r.Store.SetCitySRID(ctx, srid, r.by)
}

// check lets the database judge the staged rows.
func (r *importRun) check(ctx context.Context, batch, staged int64) (scheduler.Diff, error) {
	if staged == 0 {
		return scheduler.Diff{}, nil
	}
	diff, err := r.Store.CheckStaged(ctx, batch, r.layer, r.reader.today)
	if r.q.DryRun && len(r.out.Notes) > 0 && scheduler.KindOf(err) == scheduler.Clash {
		r.out.Notes = append(r.out.Notes, "without it the rules between rows cannot be checked by a dry run: every acceptable row counts as new")
		return scheduler.Diff{New: int(staged)}, nil
	}
	if err != nil || len(diff.Faults) == 0 {
		return diff, err
	}
	if err := r.rejects.addStored(r.q.Path, r.options, diff.Faults); err != nil {
		return diff, scheduler.Wrap(scheduler.Invalid, "import "+r.out.File, err)
	}
	return diff, nil
}

// count fills in the totals and proves that no row was lost.
func (r *importRun) count(diff scheduler.Diff, staged int64) error {
	o := r.out
	o.Rejected, o.ByField, o.Faults = r.rejects.rows, r.rejects.by, r.rejects.some
	o.New, o.Changed, o.Unchanged, o.Merged = int64(diff.New), int64(diff.Changed), int64(diff.Unchanged), int64(diff.Merged)
	o.Accepted = o.New + o.Changed + o.Unchanged + o.Merged
	o.Merges, o.Examples = diff.MergedInto[:min(someFaults, len(diff.MergedInto))], diff.Examples
	if o.Read != o.Accepted+o.Rejected {
		return scheduler.Errorf(scheduler.Internal, "import %s: %d rows read, %d accepted and %d rejected (%d staged)",
			o.File, o.Read, o.Accepted, o.Rejected, staged)
	}
	return nil
}

func (r *importRun) nothing() error {
	if r.out.Read == 0 {
		return scheduler.Errorf(scheduler.Invalid, "import %s: the file has no rows", r.out.File)
	}
	return &scheduler.Error{
		Kind: scheduler.Invalid, Message: fmt.Sprintf("import %s: none of its %d rows is acceptable", r.out.File, r.out.Read),
		Hint: "see " + r.out.RejectsFile, Fields: slices.Clone(r.out.Faults),
	}
}
