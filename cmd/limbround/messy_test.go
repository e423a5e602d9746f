package main

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// notRows are the tables that an undo leaves out: those that record what was
// done or counted rather than what is known, the city, which keeps its metric
// system, and the visits, which the rules make from the rest.
var notRows = []string{"audit", "batch", "city", "visit", "due_run", "due_stale", "overdue_night", "overdue_district", "overdue_visits"}

// TestMessyCityFaultsAreFound imports a city with planted faults. Each is
// found and named by line and field, nothing else is refused, and the clean
// rest goes in. Then the batches are taken back, newest first, and after each
// every table is what it was before that batch, row for row.
func TestMessyCityFaultsAreFound(t *testing.T) {
	p := newProgram(t, 2026, 12, 1)
	dir := t.TempDir()
	var made jobs.CityMakeResult
	p.json(&made, "city", "make", "--trees", "1500", "--seed", "7", "--messy", "--as-of", "2026-09-01", "--out", dir)
	planted := readPlanted(t, dir)
	if int64(len(planted)) != made.Counts["faults"] || len(planted) < 40 {
		t.Fatalf("%d faults listed, %d counted", len(planted), made.Counts["faults"])
	}
	t.Logf("%d planted faults by kind: %v", len(planted), made.Faults)

	var batches []int64
	var before []map[string][]string
	for _, layer := range layerOrder() {
		before = append(before, p.dump(notRows...))
		r := p.load(layer, layerFile(t, dir, layer))
		batches = append(batches, r.Batch)
		if r.Read != made.Counts[layer] {
			t.Errorf("%s: %d rows read of %d written", layer, r.Read, made.Counts[layer])
		}
		holdAgainst(t, layer, planted, &r)
	}
	p.ok("due")
	full := p.dump(notRows...)

	for _, layer := range layerOrder() {
		r := p.load(layer, layerFile(t, dir, layer))
		if r.New != 0 || r.Changed != 0 {
			t.Errorf("%s a second time: %+v", layer, r)
		}
		batches = append(batches, r.Batch)
	}
	sameRows(t, "the same files again", full, p.dump(notRows...))

	layers := layerOrder()
	for i, batch := range slices.Backward(batches) {
		layer, want := layers[i%len(layers)], full
		if i < len(layers) {
			want = before[i]
		}
		undo(p, batch, layer)
		sameRows(t, "undo of "+layer, want, p.dump(notRows...))
	}
	p.none("visits of trees that are gone", "SELECT id::text FROM visit")
}

func undo(p *program, batch int64, layer string) {
	p.t.Helper()
	var u scheduler.UndoResult
	p.json(&u, "import", "undo", strconv.FormatInt(batch, 10))
	if u.Batch != batch || u.Layer != layer {
		p.t.Errorf("undo %d: %+v", batch, u)
	}
}

type plantedFault struct {
	layer, line, field, kind, expect string
}

func readPlanted(t *testing.T, dir string) []plantedFault {
	t.Helper()
	var list []plantedFault
	for _, r := range readCSV(t, filepath.Join(dir, "faults.csv")) {
		list = append(list, plantedFault{r[0], r[1], r[3], r[5], r[6]})
	}
	return list
}

// readCSV answers the rows below the header.
func readCSV(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) == 0 {
		t.Fatalf("%s: %v", path, err)
	}
	return rows[1:]
}

// holdAgainst compares what an import of a layer refused and merged with what
// was planted in it.
func holdAgainst(t *testing.T, layer string, planted []plantedFault, r *jobs.ImportResult) {
	t.Helper()
	named := map[string][]string{} // fields by line
	if r.RejectsFile != "" {
		for _, row := range readCSV(t, r.RejectsFile) {
			named[row[0]] = append(named[row[0]], row[1])
			if row[3] == "" || row[4] == "" {
				t.Errorf("%s line %s is refused without its rule or its row: %v", layer, row[0], row)
			}
		}
	}
	if int64(len(named)) != r.Rejected {
		t.Errorf("%s: %d rejected, %d lines in the rejects file", layer, r.Rejected, len(named))
	}
	known := map[string]bool{}
	var merged int64
	for _, f := range planted {
		if f.layer != layer {
			continue
		}
		if f.expect == "merged" {
			merged++
			continue
		}
		known[f.line] = true
		if !slices.Contains(named[f.line], f.field) {
			t.Errorf("%s line %s: the planted %s of %s is not named; found %v", layer, f.line, f.kind, f.field, named[f.line])
		}
	}
	for line, fields := range named {
		if !known[line] {
			t.Errorf("%s line %s was not spoilt, yet it is refused for %v", layer, line, fields)
		}
	}
	if r.Merged != merged {
		t.Errorf("%s: %d merged, %d planted", layer, r.Merged, merged)
	}
}
