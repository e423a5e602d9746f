package jobs

import (
	"context"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"limbround/geo"
	"limbround/scheduler"
)

var update = flag.Bool("update", false, "rewrite golden files")

const samples = "../../testdata/import/"

// run imports a sample file into the fake store; rejects go to a directory of
// the test.
func run(t *testing.T, s *fakeStore, q ImportRequest) (ImportResult, error) {
	t.Helper()
	q.Actor = "ana"
	if q.RejectsPath == "" {
		q.RejectsPath = filepath.Join(t.TempDir(), "x.rejects.csv")
	}
	return Import{Store: s, Now: noon}.Run(context.Background(), q)
}

// golden compares text with a file beside the samples.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := samples + name
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s: %s", name, d)
	}
}

// rowValues is a row by field name, without what is absent.
func rowValues(layer string, r scheduler.Row) map[string]any {
	l, _ := scheduler.LayerNamed(layer)
	out := map[string]any{}
	for i, v := range r.Values {
		if v != nil {
			out[l.Fields[i].Name] = v
		}
	}
	return out
}

func TestImportPlainColumns(t *testing.T) {
	s := newFake()
	got, err := run(t, s, ImportRequest{Layer: "trees", Path: samples + "trees_plain.csv"})
	if err != nil {
		t.Fatal(err)
	}
	want := ImportResult{
		Layer: "trees", File: "trees_plain.csv", Batch: 7, SRID: 32618, Read: 4, Accepted: 4, New: 4,
	}
	if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" {
		t.Error(d)
	}
	calls := []string{"OpenBatch trees trees_plain.csv ana", "Stage", "CheckStaged 2026-11-25", "ApplyBatch"}
	if d := cmp.Diff(calls, s.calls); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(scheduler.BatchCounts{Read: 4, Accepted: 4}, s.counts); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(map[string]any{
		"ref": "T-2", "species": "QUPA", "state": "alive", "owner": "city", "address": "14 Elm Avenue",
		"planted": scheduler.NewDate(2009, 1, 1), "planted_precision": "year", "dbh_mm": geo.Length(240),
		"height_mm": geo.Length(11000), "measured_on": scheduler.NewDate(2025, 6, 1), "stems": int64(1),
	}, rowValues("trees", s.rows[1])); d != "" {
		t.Error(d)
	}
	if p := s.rows[1].Shape.Points(); s.rows[1].Line != 3 || s.rows[1].Shape.SRID() != 4326 || p[0] != (geo.Point{X: -75.5003, Y: 39.7001}) {
		t.Errorf("line %d at %v", s.rows[1].Line, p)
	}
	if d := cmp.Diff(map[string]any{"ref": "T-3", "species": "ACRU", "address": "16 Elm Avenue, rear"}, rowValues("trees", s.rows[2])); d != "" {
		t.Error("absent values must stay absent:", d)
	}
}

// The whole table of faults of a messy inventory, as the analyst gets it.
func TestImportMessyTrees(t *testing.T) {
	s := newFake()
	rejects := filepath.Join(t.TempDir(), "r.csv")
	got, err := run(t, s, ImportRequest{
		Layer: "trees", Path: samples + "trees_messy.csv", MappingPath: samples + "trees_messy.yaml", RejectsPath: rejects,
	})
	if err != nil {
		t.Fatal(err)
	}
	if got.Read != 21 || got.Read != got.Accepted+got.Rejected || got.New != int64(len(s.rows)) || got.RejectsFile != rejects {
		t.Errorf("%+v", got)
	}
	b, err := os.ReadFile(rejects)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "trees_messy.rejects.golden.csv", string(b))
	refs := map[string]map[string]any{}
	for _, r := range s.rows {
		v := rowValues("trees", r)
		refs[v["ref"].(string)] = v
	}
	for ref, want := range map[string]map[string]any{
		"1001": {
			"species": "ACRU", "dbh_mm": geo.Inches(7), "height_mm": geo.Feet(28), "vigour": "good", "address": "12 Elm Ave",
			"planted": scheduler.NewDate(2012, 4, 20), "planted_precision": "day",
		},
		"1002": {"species": "ACPL", "planted": scheduler.NewDate(2003, 1, 1), "planted_precision": "year"},
		"1003": {"vigour": "fair", "planted": scheduler.NewDate(1995, 3, 1), "planted_precision": "season"},
		"1005": {"dbh_mm": geo.Inches(3), "height_mm": geo.Feet(15), "planted_precision": "month"},
		"1010": {"state": "vacant", "owner": "city"},
		"1011": {"state": "stump", "dbh_mm": geo.Inches(11)},
		"1019": {"species": "GLTR", "vigour": "poor", "address": `48 Elm "Mall"`, "planted": scheduler.NewDate(2008, 12, 1)},
	} {
		for k, v := range want {
			if refs[ref][k] != v {
				t.Errorf("tree %s: %s is %v, want %v", ref, k, refs[ref][k], v)
			}
		}
	}
	if _, ok := refs["1014"]["dbh_mm"]; ok || refs["1014"] == nil {
		t.Error("a dbh of 0 that the mapping calls empty must be absent, and its tree accepted")
	}
}

func TestImportTranscodes(t *testing.T) {
	s := newFake()
	s.city.SRID = 0
	got, err := run(t, s, ImportRequest{Layer: "trees", Path: samples + "trees_cp1252.csv", MappingPath: samples + "trees_cp1252.yaml"})
	if err != nil {
		t.Fatal(err)
	}
	if got.SRID != 25832 || got.Accepted != 2 {
		t.Errorf("%+v", got)
	}
	v := rowValues("trees", s.rows[0])
	if v["address"] != "Lindenstraße 1" || v["dbh_mm"] != geo.Length(300) || v["height_mm"] != geo.Length(9500) || v["species"] != "TICO" {
		t.Errorf("%v", v)
	}
	if p := s.rows[0].Shape.Points()[0]; p != (geo.Point{X: 500000.5, Y: 5400000.25}) {
		t.Errorf("position %v", p)
	}
}

func TestImportGeoJSON(t *testing.T) {
	s := newFake()
	s.city.SRID = 0
	got, err := run(t, s, ImportRequest{Layer: "trees", Path: samples + "trees.geojson"})
	if err != nil {
		t.Fatal(err)
	}
	if got.Accepted != 2 || got.Rejected != 2 || s.city.SRID != 32618 {
		t.Errorf("%+v, system %d", got, s.city.SRID)
	}
	if v := rowValues("trees", s.rows[0]); v["planted_precision"] != "season" || v["dbh_mm"] != geo.Length(185) {
		t.Errorf("%v", v)
	}
	want := []scheduler.Fault{
		{Line: 3, Field: "position", Rule: "the row has no position"},
		{Line: 4, Field: "height_mm", Value: "90000", Rule: "90.00 m is outside 0 mm to 60.00 m"},
		{Line: 4, Field: "position", Value: "line", Rule: "layer trees holds points"},
	}
	if d := cmp.Diff(want, got.Faults); d != "" {
		t.Error(d)
	}
}

func TestImportOtherLayers(t *testing.T) {
	for layer, tc := range map[string]struct {
		file   string
		rows   int
		first  map[string]any // some values of the first accepted row
		faults []string       // of all rejected rows, "field: rule" beginnings
	}{
		"districts": {"districts.geojson", 1, map[string]any{"ref": "D1", "name": "North"}, []string{"name: required"}},
		"streets": {"streets.osm", 9, map[string]any{
			"ref": "way/100/0", "class": "residential", "speed_kmh": int64(40), "width_mm": geo.Length(9144), "parking": "both", "bridge": false,
		}, []string{": 1 of its 2 nodes"}},
		"history": {"history.csv", 3, map[string]any{
			"done_on": scheduler.NewDate(2019, 2, 11), "kind": "training", "live_crown_pct": int64(15), "base_road_mm": geo.Length(2400), "dbh_mm": geo.Length(95),
		}, []string{"done_on: in the future", "kind: not one of", "live_crown_pct: outside 0 to 100 %"}},
		"crews": {
			"crews.csv", 2,
			map[string]any{"people": int64(2), "shift_start": int64(420)},
			[]string{"people: outside 1 to 12", "shift_start: not a number", "skills: not one of", "tickets: write a ticket"},
		},
	} {
		t.Run(layer, func(t *testing.T) {
			s := newFake()
			got, err := run(t, s, ImportRequest{Layer: layer, Path: samples + tc.file})
			if err != nil {
				t.Fatal(err)
			}
			if len(s.rows) != tc.rows || got.Read != got.Accepted+got.Rejected {
				t.Errorf("%d rows: %+v", len(s.rows), got)
			}
			v := rowValues(layer, s.rows[0])
			for k, w := range tc.first {
				if v[k] != w {
					t.Errorf("%s is %v (%T), want %v", k, v[k], v[k], w)
				}
			}
			if len(got.Faults) != len(tc.faults) {
				t.Fatalf("faults %v, want %v", got.Faults, tc.faults)
			}
			for i, w := range tc.faults {
				field, rule, _ := strings.Cut(w, ": ")
				if f := got.Faults[i]; field != "" && f.Field != field || !strings.Contains(f.Rule, rule) {
					t.Errorf("fault %v, want %s", f, w)
				}
			}
		})
	}
}

// Faults that the database finds come with the row they stand in.
func TestImportStoredFaults(t *testing.T) {
	s := newFake()
	s.faults = map[int]scheduler.Fault{4: {Field: "ref", Value: "T-3", Rule: "a key stands once in a file"}}
	s.merge = map[int]bool{2: true}
	rejects := filepath.Join(t.TempDir(), "r.csv")
	got, err := run(t, s, ImportRequest{Layer: "trees", Path: samples + "trees_plain.csv", RejectsPath: rejects})
	if err != nil {
		t.Fatal(err)
	}
	if got.Read != 4 || got.Accepted != 3 || got.Rejected != 1 || got.New != 2 || got.Merged != 1 {
		t.Errorf("%+v", got)
	}
	b, err := os.ReadFile(rejects)
	if err != nil {
		t.Fatal(err)
	}
	if lines := strings.Split(strings.TrimSpace(string(b)), "\n"); len(lines) != 3 ||
		!strings.HasPrefix(lines[1], `4,ref,T-3,a key stands once in a file,"{""ref"":""T-3"",""species"":""red maple""`) {
		t.Errorf("rejects:\n%s", b)
	}
	if d := cmp.Diff(scheduler.BatchCounts{Read: 4, Accepted: 3, Rejected: 1, Merged: 1}, s.counts); d != "" {
		t.Error(d)
	}
}

func TestImportDryRun(t *testing.T) {
	for name, system := range map[string]int{"city with a system": 32618, "new database": 0} {
		t.Run(name, func(t *testing.T) {
			s := newFake()
			s.city.SRID, s.noSystem = system, true
			got, err := run(t, s, ImportRequest{Layer: "trees", Path: samples + "trees_plain.csv", DryRun: true})
			if err != nil {
				t.Fatal(err)
			}
			want := []string{"OpenBatch trees trees_plain.csv ana", "Stage", "CheckStaged 2026-11-25", "DiscardBatch"}
			if d := cmp.Diff(want, s.calls); d != "" {
				t.Error(d)
			}
			if got.Batch != 0 || got.New != 4 || got.SRID != 32618 || s.city.SRID != system || (len(got.Notes) == 0) != (system != 0) {
				t.Errorf("%+v", got)
			}
		})
	}
}

func TestImportFails(t *testing.T) {
	bad := func(name, text string) string {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for name, tc := range map[string]struct {
		layer, path, mapping, want string
		kind                       scheduler.Kind
		fail                       string
		discarded                  bool
	}{
		"layer":          {"shrubs", "x.csv", "", `no layer "shrubs"`, scheduler.Invalid, "", false},
		"no file":        {"trees", "nowhere.csv", "", "no such file", scheduler.Invalid, "", false},
		"no mapping":     {"trees", samples + "trees_plain.csv", "nowhere.yaml", "no such file", scheduler.Invalid, "", false},
		"no columns":     {"trees", samples + "trees_cp1252.csv", "", "header is not UTF-8", scheduler.Invalid, "", false},
		"required":       {"trees", bad("a.csv", "species,lon,lat\nACRU,1,2\n"), "", "required field ref", scheduler.Invalid, "", false},
		"no position":    {"trees", bad("b.csv", "ref,species\n1,ACRU\n"), "", "no columns hold the position", scheduler.Invalid, "", false},
		"lines in csv":   {"streets", bad("c.csv", "ref,class\n1,alley\n"), "", "use GeoJSON", scheduler.Invalid, "", false},
		"nothing fits":   {"trees", bad("d.csv", "ref,species,lon,lat\n1,ACRU,0,0\n"), "", "none of its 1 rows is acceptable", scheduler.Invalid, "", true},
		"no rows":        {"trees", bad("e.csv", "ref,species,lon,lat\n"), "", "the file has no rows", scheduler.Invalid, "", true},
		"two columns":    {"trees", bad("f.csv", "ref,dbh_cm,dbh_in,lon,lat\n1,2,3,4,5\n"), "", "both stand for field dbh_mm", scheduler.Invalid, "", false},
		"cut off":        {"trees", bad("g.geojson", `{"features":[{"type":"Feature","properties":{"ref":"1"},"geometry":null}`), "", "ends in the middle", scheduler.Invalid, "", false},
		"other mapping":  {"signs", samples + "trees_messy.csv", samples + "trees_messy.yaml", `for layer "trees"`, scheduler.Invalid, "", false},
		"column missing": {"trees", samples + "trees_plain.csv", samples + "trees_messy.yaml", `does not have`, scheduler.Invalid, "", false},
		"stage fails":    {"trees", samples + "trees_plain.csv", "", "away", scheduler.Unavailable, "Stage", true},
		"check fails":    {"trees", samples + "trees_plain.csv", "", "away", scheduler.Unavailable, "CheckStaged", true},
		"apply fails":    {"trees", samples + "trees_plain.csv", "", "away", scheduler.Unavailable, "ApplyBatch", true},
		"sparse mapping": {"trees", samples + "trees.geojson", bad("h.yaml", "columns: {ref: {from: ref}, species: {from: speces}}"), `names column "speces"`, scheduler.Invalid, "", true},
	} {
		t.Run(name, func(t *testing.T) {
			s := newFake()
			s.fail = tc.fail
			got, err := run(t, s, ImportRequest{Layer: tc.layer, Path: tc.path, MappingPath: tc.mapping})
			if err == nil || !strings.Contains(err.Error(), tc.want) || scheduler.KindOf(err) != tc.kind {
				t.Errorf("%s: %v, want %s: %q", scheduler.KindOf(err), err, tc.kind, tc.want)
			}
			discarded := len(s.calls) > 0 && s.calls[len(s.calls)-1] == "DiscardBatch"
			if discarded != tc.discarded || got.Batch != 0 {
				t.Errorf("calls %v, batch %d", s.calls, got.Batch)
			}
		})
	}
}

func TestImportStopsWhenCancelled(t *testing.T) {
	var b strings.Builder
	b.WriteString("ref,species,lon,lat\n")
	for i := range 3000 {
		b.WriteString(strings.Repeat("1", 1+i%9) + ",ACRU,-75.5,39.7\n")
	}
	path := filepath.Join(t.TempDir(), "x.csv")
	if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	s := newFake()
	calls := 0
	progress := func(done, total int64) {
		calls++
		if done <= 0 || total != int64(b.Len()) {
			t.Errorf("progress %d of %d", done, total)
		}
		cancel()
	}
	_, err := Import{Store: s, Now: noon, Progress: progress}.Run(ctx, ImportRequest{Layer: "trees", Path: path})
	if !errors.Is(err, context.Canceled) || s.calls[len(s.calls)-1] != "DiscardBatch" || calls != 1 || len(s.rows) > 2000 {
		t.Errorf("%v after %d rows and %d calls of progress; %v", err, len(s.rows), calls, s.calls)
	}
}

func TestImportUndo(t *testing.T) {
	s := newFake()
	got, err := ImportUndo{Store: s, Now: noon}.Run(context.Background(), ImportUndoRequest{Batch: 7, Actor: "ana"})
	if err != nil || got.Removed != 3 {
		t.Errorf("%+v, %v", got, err)
	}
	if _, err := (ImportUndo{Store: s, Now: noon}).Run(context.Background(), ImportUndoRequest{}); scheduler.KindOf(err) != scheduler.Invalid {
		t.Errorf("batch 0: %v", err)
	}
}
