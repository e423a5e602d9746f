package jobs

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"limbround/geo/file"
	"limbround/scheduler"
)

const (
	sampleSize   = 1000 // features looked at before the import starts
	progressStep = 1000 // rows between two calls of Progress
)

// prepare opens the mapping and a sample of the file, and makes the reader.
func (r *importRun) prepare(ctx context.Context) (scheduler.City, error) {
	city, err := r.Store.City(ctx)
	if err != nil {
		return city, err
	}
	r.out.SRID = city.SRID
	zone, err := time.LoadLocation(city.TimeZone)
	if err != nil {
		return city, scheduler.Wrap(scheduler.Internal, "read the city's time zone", err)
	}
	m, err := readMapping(r.q.MappingPath)
	if err != nil {
		return city, err
	}
	r.options = m.options()
	r.options.Box = r.q.Box
	s, err := takeSample(r.q.Path, r.options, sampleSize)
	if err != nil {
		return city, unreadable(r.out.File, err)
	}
	p, err := newPlan(m, r.layer, s.columns, s.fixed, s.shapes)
	if err != nil {
		return city, scheduler.Wrap(scheduler.Invalid, "import "+r.out.File, err)
	}
	r.out.Ignored = p.ignored(s.columns)
	r.reader = &reader{
		plan: p, today: scheduler.DateOf(r.by.At.In(zone)), mid: p.middleOf(s.features), seen: map[string]bool{},
	}
	if r.layer.Field("species") >= 0 {
		list, err := r.Store.Species(ctx)
		if err != nil {
			return city, err
		}
		if r.reader.species, err = newSpeciesMatcher(list, p.aliases); err != nil {
			return city, scheduler.Wrap(scheduler.Invalid, "read mapping "+r.q.MappingPath, err)
		}
	}
	return city, nil
}

// unreadable gives a failed read its kind: a bad file is bad input, not a defect.
func unreadable(name string, err error) error {
	if errors.Is(err, os.ErrNotExist) {
		return &scheduler.Error{Kind: scheduler.Invalid, Message: "import " + name, Err: err, Hint: "check the path"}
	}
	return scheduler.Wrap(scheduler.Invalid, "import "+name, err)
}

// stage streams the acceptable rows into the stage and the others into the
// rejects file.
func (r *importRun) stage(ctx context.Context, batch int64) (staged int64, err error) {
	src, err := file.Open(r.q.Path, r.options)
	if err != nil {
		return 0, unreadable(r.out.File, err)
	}
	defer src.Close()
	staged, err = r.Store.Stage(ctx, batch, r.layer, func(yield func(scheduler.Row) bool) {
		r.readErr = r.stream(ctx, src, yield)
	})
	switch {
	case r.readErr != nil:
		return staged, r.readErr
	case err != nil:
		return staged, err
	}
	if lost := r.reader.missing(); lost != nil && r.reader.at != nil {
		return staged, scheduler.Errorf(scheduler.Invalid, "import %s: the mapping names column %q, which no row of the file has", r.out.File, lost[0])
	}
	if accepted := r.out.Read - r.rejects.rows; staged != accepted {
		return staged, scheduler.Errorf(scheduler.Internal, "import %s: %d rows were acceptable, %d were staged", r.out.File, accepted, staged)
	}
	return staged, nil
}

func (r *importRun) stream(ctx context.Context, src file.Reader, yield func(scheduler.Row) bool) error {
	for {
		f, err := src.Next()
		if errors.Is(err, io.EOF) {
			r.progress(src)
			return nil
		}
		if err != nil {
			return unreadable(r.out.File, err)
		}
		r.out.Read++
		if r.out.Read%progressStep == 0 {
			if err := ctx.Err(); err != nil {
				return fmt.Errorf("import %s: %w", r.out.File, err)
			}
			r.progress(src)
		}
		row, faults := r.reader.row(&f)
		if len(faults) > 0 {
			if err := r.rejects.add(&f, faults); err != nil {
				return err
			}
			continue
		}
		if !yield(row) {
			return nil // the store stopped: its own error says why
		}
	}
}

func (r *importRun) progress(src file.Reader) {
	if r.Progress != nil {
		r.Progress(src.Progress())
	}
}

// sample is the beginning of a file.
type sample struct {
	features []file.Feature
	columns  []string // all that occur
	fixed    bool     // every feature has the same columns
	shapes   bool     // features carry their own geometry
}

func takeSample(path string, o file.Options, n int) (sample, error) {
	src, err := file.Open(path, o)
	if err != nil {
		return sample{}, err
	}
	defer src.Close()
	s := sample{columns: src.Columns(), fixed: src.Columns() != nil}
	for len(s.features) < n {
		f, err := src.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return sample{}, err
		}
		s.features = append(s.features, f)
		s.shapes = s.shapes || !f.Shape.Empty() || !s.fixed
		for _, c := range f.Columns {
			if !s.fixed && !containsFold(s.columns, c) {
				s.columns = append(s.columns, c)
			}
		}
	}
	return s, nil
}
