package db_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"limbround/geo"
	"limbround/scheduler"
)

// TestTenThousandTrees imports a grid town of 10,400 trees and looks at what
// a small one cannot show: that the set-based statements stay set-based. The
// bounds are wide; a plan that turns quadratic misses them by far.
func TestTenThousandTrees(t *testing.T) {
	w := newTown(t)
	const blocks = 20 // each way; two rows of trees along each block of a street
	var streets, trees, walks []scheduler.Row
	w.line = 0
	for i := range blocks {
		for j := range blocks {
			x, y := float64(i)*100, float64(j)*100
			streets = append(streets,
				w.row("streets", line(x, y, x+100, y), f{"ref": fmt.Sprint("h", i, "-", j), "class": "residential", "parking": "both"}),
				w.row("streets", line(x, y, x, y+100), f{"ref": fmt.Sprint("v", i, "-", j), "class": "collector"}))
			walks = append(walks, w.row("walks", line(x+6, y+8, x+94, y+8), f{"ref": fmt.Sprint("w", i, "-", j)}))
			for k := range 13 {
				for side, dy := range []float64{-6.5, 6.5} {
					trees = append(trees, w.row("trees", spot(x+12+float64(k)*6, y+dy), f{
						"ref": fmt.Sprint("t", i, "-", j, "-", k, "-", side), "species": "ACRU", "dbh_mm": geo.Length(100 + k),
						"measured_on": scheduler.NewDate(2024, 5, 1),
					}))
				}
			}
		}
	}
	within := func(what string, limit time.Duration, fn func()) {
		t.Helper()
		start := time.Now()
		fn()
		took := time.Since(start)
		t.Logf("%s: %.1f s", what, took.Seconds())
		if took > limit {
			t.Errorf("%s took %s, more than %s", what, took, limit)
		}
	}
	within("ground", 30*time.Second, func() {
		w.load("districts", w.row("districts", box(-500, -500, 5000, 5000), f{"ref": "D", "name": "D"}))
		w.load("streets", streets...)
		w.load("walks", walks...)
	})
	within("first import", 45*time.Second, func() { w.load("trees", trees...) })
	if got := w.one("SELECT count(*), count(DISTINCT site_id), (SELECT count(*) FROM site_fact WHERE to_curb_mm = 2000 AND face_id IS NOT NULL) FROM tree"); got != fmt.Sprintf("%d %d %d", len(trees), len(trees), len(trees)) {
		t.Errorf("trees, sites, reduced sites at 2 m from the curb: %s, want %d each", got, len(trees))
	}
	within("same file again", 30*time.Second, func() {
		if _, _, diff := w.check("trees", trees); diff.Unchanged != len(trees) {
			t.Errorf("again: %d unchanged", diff.Unchanged)
		}
	})
	var last int64
	within("half of it moved", 45*time.Second, func() {
		moved := slices.Clone(trees[:len(trees)/2])
		for i := range moved {
			moved[i].Shape = geo.NewPoint(utm16, moved[i].Shape.Points()[0].Add(geo.Point{X: 0.4}))
		}
		last = w.load("trees", moved...)
	})
	within("taken back", 30*time.Second, func() {
		if got, err := w.UndoBatch(t.Context(), last, clerk); err != nil || got.Restored != len(trees)/2 {
			t.Errorf("undo: %+v, %v", got, err)
		}
	})
	within("all sites reduced again", 30*time.Second, func() {
		if n, err := w.ReduceSites(t.Context()); err != nil || n != 0 {
			t.Errorf("reduce: %d rows changed, %v", n, err)
		}
	})
}
