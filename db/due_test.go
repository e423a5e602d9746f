package db_test

import (
	"fmt"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
)

// plainVisit stands for the rules where a test is about the pass itself.
func plainVisit(in *scheduler.DueInput, asOf scheduler.Date) []scheduler.Visit {
	t := &in.Tree
	return []scheduler.Visit{{
		TreeID: t.ID, SiteID: t.SiteID, Kind: scheduler.Training, Kinds: []scheduler.WorkKind{scheduler.Training, scheduler.WalkClearance},
		Window: scheduler.Window{Earliest: asOf - 400, Due: asOf - 200, Latest: asOf - 1}, Season: "dormant season 2025/26",
		State: scheduler.Overdue, Class: 4, Skill: scheduler.Ground, Minutes: 12,
		Objectives: []string{"Choose one leader"}, Reasons: []scheduler.Reason{{Rule: "training.interval", Text: "Due for " + t.Ref, Source: "test"}},
	}}
}

// Twenty thousand trees stream through a pass; a second one writes nothing.
func TestDuePassStreams(t *testing.T) {
	w := newTown(t)
	ctx := t.Context()
	const trees = 20_000
	const fillSQL = `
WITH s AS (
    INSERT INTO site (ref, source_srid, source_x, source_y, geom)
    SELECT 'T' || i, 32616, 0, 0, ST_SetSRID(ST_MakePoint(482000 + i % 200, 4438000 + i / 200), 32616) FROM generate_series(1, $1) i
    RETURNING id, ref)
INSERT INTO tree (ref, site_id, species) SELECT ref, id, 'ACRU' FROM s ORDER BY id`
	if _, err := w.sql.Exec(ctx, fillSQL, trees); err != nil {
		t.Fatal(err)
	}
	day := importDay
	var most atomic.Uint64
	decide := func(in *scheduler.DueInput) []scheduler.Visit {
		if in.Tree.ID%4096 == 0 {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most.Store(max(most.Load(), m.HeapAlloc))
		}
		return plainVisit(in, day)
	}
	told := 0
	began := time.Now()
	first, err := w.DuePass(ctx, day, scheduler.DueScope{}, decide, 0, clerk, func(n int) { told = n })
	if err != nil {
		t.Fatal(err)
	}
	middle := time.Now()
	second, err := w.DuePass(ctx, day+1, scheduler.DueScope{}, decide, 0, clerk, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d trees: first pass %.2f s, second %.2f s, heap up to %d MiB", trees, middle.Sub(began).Seconds(), time.Since(middle).Seconds(), most.Load()>>20)
	if first.Trees != trees || told != trees || first.Written != (scheduler.DueWritten{New: trees}) || first.Overdue != trees {
		t.Errorf("first pass: %+v, told %d", first, told)
	}
	// The day of the pass is no content: nothing is written for its sake.
	if second.Written != (scheduler.DueWritten{Unchanged: trees}) {
		t.Errorf("second pass: %+v", second.Written)
	}
	var left int
	if err := w.sql.QueryRow(ctx, `SELECT count(*) FROM stage_visit`).Scan(&left); err != nil || left != 0 {
		t.Errorf("%d rows left on the stage, %v", left, err)
	}
}

// A tree that changes while the pass is on its way is left to whoever changed it.
func TestDuePassLeavesTreesThatMovedOn(t *testing.T) {
	w := newTown(t)
	ctx := t.Context()
	for i := range 3 {
		w.load("trees", w.row("trees", spot(float64(20*i), 10), f{"ref": fmt.Sprintf("T-%d", i), "species": "ACRU"}))
	}
	var once atomic.Bool
	stats, err := w.DuePass(ctx, importDay, scheduler.DueScope{}, func(in *scheduler.DueInput) []scheduler.Visit {
		if in.Tree.Ref == "T-1" && once.CompareAndSwap(false, true) {
			if _, err := w.sql.Exec(ctx, `UPDATE tree SET revision = revision + 1 WHERE ref = 'T-1'`); err != nil {
				t.Error(err)
			}
		}
		return plainVisit(in, importDay)
	}, 0, clerk, nil)
	if err != nil {
		t.Fatal(err)
	}
	if stats.Written.New != 2 || stats.Written.Skipped != 1 {
		t.Errorf("wrote %+v", stats.Written)
	}
}

// A rule that wants two visits of one kind is stopped before anything is written.
func TestDuePassRefusesTwins(t *testing.T) {
	w := newTown(t)
	w.load("trees", w.row("trees", spot(10, 10), f{"ref": "T-1", "species": "ACRU"}))
	_, err := w.DuePass(t.Context(), importDay, scheduler.DueScope{}, func(in *scheduler.DueInput) []scheduler.Visit {
		return append(plainVisit(in, importDay), plainVisit(in, importDay)...)
	}, 0, clerk, nil)
	if scheduler.KindOf(err) != scheduler.Internal {
		t.Errorf("got %v", err)
	}
	var n int
	if err := w.sql.QueryRow(t.Context(), `SELECT count(*) FROM visit`).Scan(&n); err != nil || n != 0 {
		t.Errorf("%d visits, %v", n, err)
	}
}

// The table of a night names trees outside every district, and is kept with its versions.
func TestOverdueOutsideDistricts(t *testing.T) {
	w := newTown(t)
	ctx := t.Context()
	w.load("trees",
		w.row("trees", spot(10, 10), f{"ref": "T-1", "species": "ACRU"}),
		w.row("trees", spot(900, 900), f{"ref": "T-2", "species": "ACRU"}),
	)
	w.load("districts", w.row("districts", box(0, 0, 100, 100), f{"ref": "d1", "name": "One"}))
	if _, err := w.DuePass(ctx, importDay, scheduler.DueScope{}, func(in *scheduler.DueInput) []scheduler.Visit { return plainVisit(in, importDay) }, 0, clerk, nil); err != nil {
		t.Fatal(err)
	}
	table, err := w.OverdueByDistrict(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if len(table.Rows) != 2 || table.Rows[0].District != "d1" || table.Rows[1].District != "" || table.Rows[1].Trees != 1 {
		t.Fatalf("rows: %+v", table.Rows)
	}
	for _, r := range table.Rows {
		if r.Late != 1 || r.Share != 1 || r.ByKind[scheduler.Training] != 1 || r.CrewHours != 0.2 || r.Oldest != importDay-1 {
			t.Errorf("%+v", r)
		}
	}
	if table.Total.Trees != 2 || table.Total.Late != 2 {
		t.Errorf("total %+v", table.Total)
	}
	list, matched, err := w.VisitList(ctx, scheduler.VisitFilter{State: scheduler.Overdue, District: "d1"}, 0, 10)
	if err != nil || matched != 1 || len(list) != 1 || list[0].Reasons[0].Text != "Due for T-1" {
		t.Errorf("visits of the district: %d, %+v, %v", matched, list, err)
	}
}

// A past night keeps its table when a boundary moves and the next night counts
// otherwise; it says under which policy and which boundary it was made.
func TestOverdueOnAPastNight(t *testing.T) {
	w := newTown(t)
	ctx := t.Context()
	w.load("trees",
		w.row("trees", spot(10, 10), f{"ref": "T-1", "species": "ACRU"}),
		w.row("trees", spot(150, 10), f{"ref": "T-2", "species": "ACRU"}),
	)
	w.load("districts", w.row("districts", box(0, 0, 100, 100), f{"ref": "d1", "name": "One"}))
	pass := func(day scheduler.Date) scheduler.OverdueTable {
		t.Helper()
		if _, err := w.DuePass(ctx, day, scheduler.DueScope{}, func(in *scheduler.DueInput) []scheduler.Visit { return plainVisit(in, day) }, 1, clerk, nil); err != nil {
			t.Fatal(err)
		}
		table, err := w.OverdueByDistrict(ctx)
		if err != nil {
			t.Fatal(err)
		}
		return table
	}
	on := func(day scheduler.Date) scheduler.OverdueTable {
		t.Helper()
		table, err := w.OverdueOn(ctx, day)
		if err != nil {
			t.Fatal(err)
		}
		return table
	}
	first := pass(importDay)
	w.load("districts", w.row("districts", box(0, 0, 200, 100), f{"ref": "d1", "name": "One"}))
	second := pass(importDay + 1)
	for day, live := range map[scheduler.Date]scheduler.OverdueTable{importDay: first, importDay + 1: second} {
		if diff := cmp.Diff(live, on(day)); diff != "" {
			t.Errorf("night of %s: %s", day, diff)
		}
	}
	if a, b := first.Rows[0], second.Rows[0]; a.Version != 1 || a.Trees != 1 || b.Version != 2 || b.Trees != 2 || first.PolicyID != 1 {
		t.Errorf("first night %+v, second %+v", a, b)
	}
	nights, err := w.OverdueNights(ctx)
	if err != nil || len(nights) != 2 || nights[0].Night != importDay+1 || nights[1].Late != 2 {
		t.Errorf("nights %+v, %v", nights, err)
	}
	_, err = w.OverdueOn(ctx, importDay-1)
	if scheduler.KindOf(err) != scheduler.NotFound {
		t.Errorf("a night without a pass: %v", err)
	}
}
