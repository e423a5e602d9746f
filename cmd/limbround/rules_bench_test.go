package main

import (
	"flag"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/due"
	"limbround/scheduler/growth"
)

var benchTrees = flag.Int("trees", 20_000, "trees of the invented city that the benchmarks of the rules work on")

// The rules alone, on the trees of an invented city as the due pass reads them,
// with their past and their sites. One iteration is one tree. Run it on one core:
//
//	go run ./db/dbtest/testcluster -- go test ./cmd/limbround -run '^$' -bench Rules -cpu 1 -benchtime 1000000x -args -trees 1000000
func BenchmarkRules(b *testing.B) {
	p := newProgram(b, 2026, time.December, 1)
	dir := b.TempDir()
	p.ok("city", "make", "--trees", strconv.Itoa(*benchTrees), "--seed", "1", "--out", dir)
	for _, layer := range demoLayers {
		file, err := cityFile(dir, layer)
		if err != nil {
			b.Fatal(err)
		}
		p.ok("import", layer, filepath.Clean(file))
	}
	d, err := db.Open(b.Context(), db.Config{URL: p.url, MaxConns: 2})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = d.Close() })
	today := scheduler.DateOf(p.clock)
	engine := benchEngine(b, d, today)
	var mu sync.Mutex
	var list []scheduler.DueInput
	_, err = d.DuePass(b.Context(), today, scheduler.DueScope{}, func(in *scheduler.DueInput) []scheduler.Visit {
		mu.Lock()
		defer mu.Unlock()
		list = append(list, *in)
		return nil
	}, 0, scheduler.Stamp{Actor: "bench", At: p.clock}, nil)
	if err != nil || len(list) < *benchTrees {
		b.Fatalf("%d trees read of %d, %v", len(list), *benchTrees, err)
	}
	b.ReportAllocs()
	i, visits := 0, 0
	for b.Loop() {
		visits += len(engine.Visits(list[i].Tree, list[i].Site, today))
		if i++; i == len(list) {
			i = 0
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "trees/s")
	b.ReportMetric(float64(visits)/float64(b.N), "visits/tree")
}

func benchEngine(b *testing.B, d *db.DB, today scheduler.Date) *due.Engine {
	b.Helper()
	policy, err := d.CurrentPolicy(b.Context(), today)
	if err != nil {
		b.Fatal(err)
	}
	species, err := d.Species(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	model, err := growth.Load()
	if err != nil {
		b.Fatal(err)
	}
	engine, err := due.New(policy, model, species)
	if err != nil {
		b.Fatal(err)
	}
	return engine
}
