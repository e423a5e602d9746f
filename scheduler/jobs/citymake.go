package jobs

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/city"
)

// CityMake writes an invented city as a set of files that every import layer
// accepts, and with Messy a list of the faults that were planted in them.
type CityMake struct {
	Now      func() time.Time
	Progress func(done, total int64) // trees written, of those asked for; may be nil
}

// CityMakeRequest says which city and where to.
type CityMakeRequest struct {
	Trees   int
	Seed    uint64
	Messy   bool
	Format  string         // of the trees: csv (or empty) or geojson
	AsOf    scheduler.Date // planting and history end before it; zero for today
	Streets string         // file with the street network, empty to invent one
	Around  geo.Point      // middle of the window on Streets, longitude and latitude; the zero Point for all of it
	Radius  float64        // of the window, metres
	Out     string         // directory, made when it is not there
}

// CityMakeResult counts what was written. The same seed and AsOf give the same bytes.
type CityMakeResult struct {
	Name    string           `json:"name"` // of the invented city, or what it was made on
	Trees   int64            `json:"trees"`
	Seed    uint64           `json:"seed"`
	AsOf    scheduler.Date   `json:"as_of"`
	Messy   bool             `json:"messy"`
	SRID    int              `json:"srid"` // metric system that suits the city
	Out     string           `json:"out"`
	Files   []string         `json:"files"`
	Counts  map[string]int64 `json:"counts"`                // rows by layer; "faults" counts the planted ones
	Skipped int64            `json:"streets_skipped"`       // rows of the street file that broke a rule
	Story   string           `json:"story"`                 // ref of the tree the documentation follows
	Corner  string           `json:"story_corner"`          // where it stands
	Faults  map[string]int64 `json:"faults_kind,omitempty"` // planted faults by kind
	Seconds float64          `json:"seconds"`
}

// Run makes the city. It returns Invalid for a request or a street file that
// cannot be used and Infeasible when the streets have no room for the trees.
// Files of an earlier run are written over.
func (m CityMake) Run(ctx context.Context, q CityMakeRequest) (CityMakeResult, error) {
	start := m.Now()
	if q.AsOf.IsZero() {
		q.AsOf = scheduler.DateOf(start)
	}
	out := CityMakeResult{
		Name: city.Name, Seed: q.Seed, AsOf: q.AsOf, Messy: q.Messy, Out: q.Out, Story: city.HandMade,
		Counts: map[string]int64{}, Faults: map[string]int64{},
	}
	if err := q.check(); err != nil {
		return out, err
	}
	r := city.Request{Trees: q.Trees, Seed: q.Seed, Today: q.AsOf, Messy: q.Messy}
	if q.Streets != "" {
		var err error
		if r.Streets, r.SRID, out.Skipped, err = givenStreets(ctx, q); err != nil {
			return out, err
		}
		out.Name = "trees invented on " + filepath.Base(q.Streets)
	}
	c, err := city.Make(r)
	if err != nil {
		return out, err
	}
	out.SRID, out.Corner = c.SRID(), c.Corner()
	if err := os.MkdirAll(q.Out, 0o755); err != nil {
		return out, scheduler.Wrap(scheduler.Invalid, "make directory "+q.Out, err)
	}
	w := &cityWriter{CityMake: m, q: q, city: c, out: &out}
	if err := w.all(ctx); err != nil {
		return out, err
	}
	out.Trees = out.Counts["trees"]
	out.Seconds = m.Now().Sub(start).Seconds()
	return out, nil
}

func (q *CityMakeRequest) check() error {
	switch {
	case q.Out == "":
		return scheduler.Errorf(scheduler.Invalid, "out: name the directory for the files")
	case q.Format != "" && q.Format != "csv" && q.Format != "geojson":
		return scheduler.Errorf(scheduler.Invalid, "format %q: want csv or geojson", q.Format)
	case q.Streets == "" && (q.Around.Valid() || q.Radius != 0):
		return scheduler.Errorf(scheduler.Invalid, "around and radius choose a part of a street file; name one with streets")
	case q.Around.Valid() != (q.Radius > 0):
		return scheduler.Errorf(scheduler.Invalid, "around and radius (metres, above 0) go together")
	}
	return nil
}

// cityLayers are the layers in the order in which they are written and loaded.
var cityLayers = []string{"districts", "sections", "streets", "walks", "wires", "signs", "depots", "dumps", "crews"}

// cityWriter writes the files of one city.
type cityWriter struct {
	CityMake
	q      CityMakeRequest
	city   *city.City
	out    *CityMakeResult
	faults []plantedFault
}

// plantedFault is a fault with the line of its row in the file.
type plantedFault struct {
	city.Fault
	line int
}

func (w *cityWriter) all(ctx context.Context) error {
	for _, name := range cityLayers {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("make city: %w", err)
		}
		if err := w.layer(name); err != nil {
			return err
		}
	}
	if err := w.trees(ctx); err != nil {
		return err
	}
	if !w.q.Messy {
		w.out.Faults = nil
		return nil
	}
	return w.faultList()
}

func (w *cityWriter) layer(name string) (err error) {
	f, err := w.open(name, "")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.close()) }()
	for e := range w.city.Rows(name) {
		if err := w.write(f, &e); err != nil {
			return err
		}
	}
	return nil
}

// trees writes the trees and their past in one pass.
func (w *cityWriter) trees(ctx context.Context) (err error) {
	trees, err := w.open("trees", w.q.Format)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, trees.close()) }()
	history, err := w.open("history", "")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, history.close()) }()
	for s := range w.city.Trees() {
		if err := w.write(trees, &s.Tree); err != nil {
			return err
		}
		for i := range s.History {
			if err := w.write(history, &s.History[i]); err != nil {
				return err
			}
		}
		if n := w.out.Counts["trees"]; n%progressStep == 0 {
			if err := ctx.Err(); err != nil {
				return fmt.Errorf("make city: %w", err)
			}
			if w.Progress != nil {
				w.Progress(n, int64(w.q.Trees))
			}
		}
	}
	return nil
}

func (w *cityWriter) write(f *cityFile, e *city.Entry) error {
	if err := f.write(&e.Row); err != nil {
		return err
	}
	w.out.Counts[f.layer.Name]++
	for _, one := range e.Faults {
		w.out.Faults[one.Kind]++
		w.faults = append(w.faults, plantedFault{one, e.Row.Line + f.header})
	}
	return nil
}
