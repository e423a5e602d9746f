package db_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"limbround/db"
	"limbround/db/dbtest"
	"limbround/geo"
	"limbround/scheduler"
)

// town is a database with a metric system and the helpers of the import tests.
// Positions are metres from a corner of the invented city, in UTM zone 16N.
type town struct {
	*db.DB
	t    *testing.T
	sql  *pgx.Conn
	line int
}

const (
	utm16           = 32616
	eastOf, northOf = 482_000.0, 4_438_000.0
)

var (
	clerk     = scheduler.Stamp{Actor: "clerk", At: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
	importDay = scheduler.NewDate(2026, 3, 2)
)

func newTown(t *testing.T) *town {
	t.Helper()
	d := dbtest.New(t)
	if err := d.SetCitySRID(t.Context(), utm16, clerk); err != nil {
		t.Fatal(err)
	}
	c, err := pgx.Connect(t.Context(), d.URL())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close(context.Background()) }) // the database goes with it
	return &town{DB: d, t: t, sql: c}
}

// f are the fields of a row by name.
type f map[string]any

func at(x, y float64) geo.Point   { return geo.Point{X: eastOf + x, Y: northOf + y} }
func spot(x, y float64) geo.Shape { return geo.NewPoint(utm16, at(x, y)) }
func line(xy ...float64) geo.Shape {
	var pts []geo.Point
	for i := 0; i < len(xy); i += 2 {
		pts = append(pts, at(xy[i], xy[i+1]))
	}
	return geo.NewLine(utm16, pts)
}

func box(x0, y0, x1, y1 float64) geo.Shape {
	return geo.NewArea(utm16, [][]geo.Point{{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1), at(x0, y0)}})
}

// row is a row of a layer on the next line of the file.
func (w *town) row(layer string, shape geo.Shape, fields f) scheduler.Row {
	w.t.Helper()
	w.line++
	l, _ := scheduler.LayerNamed(layer)
	r := scheduler.Row{Line: w.line, Shape: shape, Values: make([]any, len(l.Fields))}
	for name, v := range fields {
		i := l.Field(name)
		if i < 0 {
			w.t.Fatalf("layer %s has no field %s", layer, name)
		}
		r.Values[i] = v
	}
	return r
}

// check stages and checks rows, with line numbers as they stand.
func (w *town) check(layer string, rows []scheduler.Row) (int64, scheduler.Layer, scheduler.Diff) {
	w.t.Helper()
	ctx := w.t.Context()
	l, ok := scheduler.LayerNamed(layer)
	if !ok {
		w.t.Fatalf("no layer %s", layer)
	}
	id, err := w.OpenBatch(ctx, layer, layer+".csv", clerk)
	if err != nil {
		w.t.Fatal(err)
	}
	n, err := w.Stage(ctx, id, l, slices.Values(rows))
	if err != nil || n != int64(len(rows)) {
		w.t.Fatalf("stage %s: %d of %d rows, %v", layer, n, len(rows), err)
	}
	diff, err := w.CheckStaged(ctx, id, l, importDay)
	if err != nil {
		w.t.Fatalf("check %s: %v", layer, err)
	}
	bad := map[int]bool{}
	for _, f := range diff.Faults {
		bad[f.Line] = true
	}
	if got := diff.New + diff.Changed + diff.Unchanged + diff.Merged + len(bad); got != len(rows) {
		w.t.Fatalf("%s: %d rows have a verdict, want %d: %+v", layer, got, len(rows), diff)
	}
	return id, l, diff
}

func (w *town) apply(id int64, l scheduler.Layer, diff scheduler.Diff) {
	w.t.Helper()
	if err := w.ApplyBatch(w.t.Context(), id, l, countsOf(diff), clerk); err != nil {
		w.t.Fatalf("apply %s: %v", l.Name, err)
	}
}

func countsOf(diff scheduler.Diff) scheduler.BatchCounts {
	n := int64(diff.New + diff.Changed + diff.Unchanged + diff.Merged)
	return scheduler.BatchCounts{Read: n, Accepted: n, Merged: int64(diff.Merged), Unchanged: int64(diff.Unchanged)}
}

// load imports rows that must be without fault.
func (w *town) load(layer string, rows ...scheduler.Row) int64 {
	w.t.Helper()
	id, l, diff := w.check(layer, rows)
	if len(diff.Faults) > 0 {
		w.t.Fatalf("%s: unexpected faults %v", layer, diff.Faults)
	}
	w.apply(id, l, diff)
	return id
}

// dump is every row of the layer tables as text, by table.
func (w *town) dump() map[string][]string {
	w.t.Helper()
	out := map[string][]string{}
	for _, table := range []string{
		"district", "section", "street", "block_face", "walk", "wire", "sign", "depot", "dump", "crew", "site", "site_fact",
		"tree", "measurement", "record_key", "work_record", "visit", "batch_change",
	} {
		rows, err := w.sql.Query(w.t.Context(), "SELECT t::text FROM "+table+" t ORDER BY 1")
		if err != nil {
			w.t.Fatal(err)
		}
		if out[table], err = pgx.CollectRows(rows, pgx.RowTo[string]); err != nil {
			w.t.Fatal(err)
		}
	}
	return out
}

func (w *town) same(what string, before map[string][]string) {
	w.t.Helper()
	if d := cmp.Diff(before, w.dump()); d != "" {
		w.t.Errorf("%s (-before +after):\n%s", what, d)
	}
}

func (w *town) exec(sql string, args ...any) {
	w.t.Helper()
	if _, err := w.sql.Exec(w.t.Context(), sql, args...); err != nil {
		w.t.Fatal(err)
	}
}

// one reads a single row as text, columns parted by blanks, NULL as "-".
func (w *town) one(sql string, args ...any) string {
	w.t.Helper()
	rows, err := w.sql.Query(w.t.Context(), sql, args...)
	if err != nil {
		w.t.Fatal(err)
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		vals, err := rows.Values()
		if err != nil {
			w.t.Fatal(err)
		}
		var cols []string
		for _, v := range vals {
			if v == nil {
				v = "-"
			}
			if d, ok := v.(time.Time); ok {
				v = d.Format(time.DateOnly)
			}
			cols = append(cols, fmt.Sprint(v))
		}
		out = append(out, strings.Join(cols, " "))
	}
	if rows.Err() != nil {
		w.t.Fatal(rows.Err())
	}
	return strings.Join(out, "\n")
}

// faults prints faults one to a line: line, field, rule.
func faults(list []scheduler.Fault) string {
	var out []string
	for _, x := range list {
		out = append(out, fmt.Sprintf("%d %s: %s", x.Line, x.Field, x.Rule))
	}
	return strings.Join(out, "\n")
}
