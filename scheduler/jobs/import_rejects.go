package jobs

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"limbround/geo/file"
	"limbround/scheduler"
)

// rejects writes the rows that were not taken, one line for each broken rule,
// to a CSV file beside the input: line, field, value, rule, and the whole row
// as JSON, so that nothing of it is lost. The file appears under its name only
// when the import has come to its end, and only when there is something in it.
type rejects struct {
	path string
	tmp  *os.File
	buf  *bufio.Writer
	csv  *file.CSVWriter
	rows int64 // rejected rows
	by   map[string]int64
	some []scheduler.Fault // the first ones, for the result
}

var rejectColumns = []string{"line", "field", "value", "rule", "row"}

const someFaults = 20

func newRejects(path string) *rejects { return &rejects{path: path, by: map[string]int64{}} }

// add writes the faults of one row.
func (r *rejects) add(f *file.Feature, faults []scheduler.Fault) error {
	if r.tmp == nil {
		tmp, err := os.CreateTemp(filepath.Dir(r.path), filepath.Base(r.path)+".*")
		if err != nil {
			return scheduler.Wrap(scheduler.Unavailable, "write rejects file", err)
		}
		r.tmp, r.buf = tmp, bufio.NewWriterSize(tmp, 1<<16)
		r.csv = file.NewCSVWriter(r.buf, rejectColumns)
	}
	r.rows++
	row := string(f.JSON())
	for _, x := range faults {
		r.by[x.Field]++
		if len(r.some) < someFaults {
			r.some = append(r.some, x)
		}
		if err := r.csv.Write([]any{x.Line, x.Field, x.Value, x.Rule, row}); err != nil {
			return scheduler.Wrap(scheduler.Unavailable, "write rejects file", err)
		}
	}
	return nil
}

// finish gives the file its name and returns it, or nothing when no row was
// rejected.
func (r *rejects) finish() (string, error) {
	if r.tmp == nil {
		return "", nil
	}
	err := errors.Join(r.csv.Close(), r.buf.Flush(), r.tmp.Chmod(0o644), r.tmp.Close())
	if err == nil {
		err = os.Rename(r.tmp.Name(), r.path)
	}
	if err != nil {
		return "", scheduler.Wrap(scheduler.Unavailable, "write rejects file", err)
	}
	r.tmp = nil
	return r.path, nil
}

// abandon removes an unfinished file.
func (r *rejects) abandon() {
	if r.tmp != nil {
		_ = r.tmp.Close() // the file goes away in the next line
		_ = os.Remove(r.tmp.Name())
		r.tmp = nil
	}
}

// addStored writes the faults that the database found. They carry lines only,
// so the file is read once more for the rows.
func (r *rejects) addStored(path string, o file.Options, faults []scheduler.Fault) error {
	byLine := map[int][]scheduler.Fault{}
	for _, f := range faults {
		byLine[f.Line] = append(byLine[f.Line], f)
	}
	src, err := file.Open(path, o)
	if err != nil {
		return err
	}
	defer src.Close()
	for len(byLine) > 0 {
		f, err := src.Next()
		if errors.Is(err, io.EOF) {
			return fmt.Errorf("read file again: %d faulty rows are no longer there; it was changed during the import", len(byLine))
		}
		if err != nil {
			return fmt.Errorf("read file again: %w", err)
		}
		if list, ok := byLine[f.Line]; ok {
			if err := r.add(&f, list); err != nil {
				return err
			}
			delete(byLine, f.Line)
		}
	}
	return nil
}
