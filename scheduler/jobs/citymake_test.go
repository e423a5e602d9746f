package jobs

import (
	"context"
	"encoding/csv"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/geo/file"
	"limbround/scheduler"
)

func makeCity(t *testing.T, q CityMakeRequest) CityMakeResult {
	t.Helper()
	if q.Out == "" {
		q.Out = t.TempDir()
	}
	m := CityMake{Now: func() time.Time { return time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC) }}
	out, err := m.Run(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func readAll(t *testing.T, dir string) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(filepath.Join(dir, path))
		out[path] = &fstest.MapFile{Data: b}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestCityMakeSameSeedSameBytes(t *testing.T) {
	q := CityMakeRequest{Trees: 1500, Seed: 3, Messy: true}
	a, b := makeCity(t, q), makeCity(t, q)
	x, y := readAll(t, a.Out), readAll(t, b.Out)
	if len(x) != 12 || len(a.Files) != 12 {
		t.Errorf("%d files: %v", len(x), a.Files)
	}
	for name, f := range x {
		if diff := cmp.Diff(string(f.Data), string(y[name].Data)); diff != "" {
			t.Errorf("%s differs between two runs", name)
		}
	}
}

// Every file of a clean city is read back by the import front without a single
// fault, and row by row as many as were counted.
func TestCityMakeIsImportable(t *testing.T) {
	for _, format := range []string{"csv", "geojson"} {
		out := makeCity(t, CityMakeRequest{Trees: 3000, Seed: 2, Format: format})
		for _, l := range scheduler.Layers() {
			lines, rejected := readLayer(t, out.Out, l)
			if int64(lines) != out.Counts[l.Name] || len(rejected) > 0 {
				t.Errorf("%s: %d rows read of %d, faults %v", l.Name, lines, out.Counts[l.Name], rejected)
			}
		}
		if out.Counts["trees"] != 3000 || out.Trees != 3000 || out.Faults != nil || out.SRID != 32616 {
			t.Errorf("%+v", out)
		}
	}
}

// The front finds on each line only fields that were spoilt there; what it
// cannot see by itself is left to the database.
func TestCityMakeFaultsAreFound(t *testing.T) {
	inDatabase := map[string]bool{
		"duplicate_ref": true, "same_spot": true, "in_river": true, "too_short": true, "unknown_depot": true, "unknown_tree": true,
		"before_planting": true,
	}
	for _, format := range []string{"csv", "geojson"} {
		out := makeCity(t, CityMakeRequest{Trees: 12000, Seed: 2, Messy: true, Format: format})
		planted := map[string]map[string]string{} // layer:line to field to kind
		rows := readFaults(t, out.Out)
		for _, r := range rows {
			at := r[0] + ":" + r[1]
			if planted[at] == nil {
				planted[at] = map[string]string{}
			}
			planted[at][r[3]] = r[5]
		}
		if int64(len(rows)) != out.Counts["faults"] || len(rows) < 300 {
			t.Errorf("%d faults listed, %d counted", len(rows), out.Counts["faults"])
		}
		for _, l := range scheduler.Layers() {
			_, rejected := readLayer(t, out.Out, l)
			for line, fields := range rejected {
				for field, rule := range fields {
					if planted[l.Name+":"+strconv.Itoa(line)][field] == "" {
						t.Errorf("%s line %d: %s %q was not planted", l.Name, line, field, rule)
					}
				}
			}
			for at, fields := range planted {
				for field, kind := range fields {
					layer, line := splitAt(at)
					if layer == l.Name && !inDatabase[kind] && rejected[line][field] == "" {
						t.Errorf("%s %s %s was not found", at, field, kind)
					}
				}
			}
		}
	}
}

func splitAt(at string) (layer string, line int) {
	for i := range at {
		if at[i] == ':' {
			n, _ := strconv.Atoi(at[i+1:])
			return at[:i], n
		}
	}
	return at, 0
}

func readFaults(t *testing.T, dir string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, "faults.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// readLayer reads a layer's file as an import does, up to where the database
// takes over: rows read, and the broken rules by line and field.
func readLayer(t *testing.T, dir string, l scheduler.Layer) (rows int, rejected map[int]map[string]string) {
	t.Helper()
	matches, err := filepath.Glob(filepath.Join(dir, l.Name+".*"))
	if err != nil || len(matches) != 1 {
		t.Fatalf("files of %s: %v %v", l.Name, matches, err)
	}
	s, err := takeSample(matches[0], file.Options{}, sampleSize)
	if err != nil {
		t.Fatal(err)
	}
	p, err := newPlan(&mapping{}, l, s.columns, s.fixed, s.shapes)
	if err != nil {
		t.Fatalf("%s: %v", l.Name, err)
	}
	if ignored := p.ignored(s.columns); len(ignored) > 0 {
		t.Errorf("%s: nobody reads the columns %v", l.Name, ignored)
	}
	r := &reader{plan: p, today: scheduler.NewDate(2026, 11, 25), mid: p.middleOf(s.features), seen: map[string]bool{}}
	if l.Field("species") >= 0 {
		table, err := scheduler.SpeciesTable()
		if err != nil {
			t.Fatal(err)
		}
		if r.species, err = newSpeciesMatcher(table, nil); err != nil {
			t.Fatal(err)
		}
	}
	src, err := file.Open(matches[0], file.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	rejected = map[int]map[string]string{}
	for {
		f, err := src.Next()
		if err != nil {
			return rows, rejected
		}
		rows++
		_, faults := r.row(&f)
		for _, one := range faults {
			if rejected[one.Line] == nil {
				rejected[one.Line] = map[string]string{}
			}
			rejected[one.Line][one.Field] = one.Rule
		}
	}
}

func TestCityMakeOnGivenStreets(t *testing.T) {
	first := makeCity(t, CityMakeRequest{Trees: 3000, Seed: 2})
	out := makeCity(t, CityMakeRequest{
		Trees: 400, Seed: 4, Streets: filepath.Join(first.Out, "streets.geojson"), Around: geo.Point{X: -85.2, Y: 40.1}, Radius: 500,
	})
	if out.Counts["trees"] != 400 || out.Counts["streets"] == 0 || out.Counts["streets"] >= first.Counts["streets"] || out.Skipped != 0 {
		t.Errorf("%+v", out)
	}
	for _, l := range scheduler.Layers() {
		lines, rejected := readLayer(t, out.Out, l)
		if int64(lines) != out.Counts[l.Name] || len(rejected) > 0 {
			t.Errorf("%s: %d rows read of %d, faults %v", l.Name, lines, out.Counts[l.Name], rejected)
		}
	}
}

func TestCityMakeRefuses(t *testing.T) {
	m := CityMake{Now: time.Now}
	for name, q := range map[string]CityMakeRequest{
		"no directory":       {Trees: 10},
		"unknown format":     {Trees: 10, Out: "x", Format: "shp"},
		"radius alone":       {Trees: 10, Out: "x", Radius: 5},
		"window, no streets": {Trees: 10, Out: "x", Around: geo.Point{X: 1, Y: 1}, Radius: 5},
		"missing file":       {Trees: 10, Out: "x", Streets: "nowhere.geojson"},
		"no trees":           {Out: "x"},
	} {
		if _, err := m.Run(context.Background(), q); scheduler.KindOf(err) != scheduler.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := m.Run(ctx, CityMakeRequest{Trees: 100, Out: t.TempDir()}); err == nil {
		t.Error("a cancelled run reports nothing")
	}
}
