package db_test

import (
	"fmt"
	"testing"
	"time"

	"limbround/db/dbtest"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// One record through the verb and the database, on a tree that has no record
// yet and on one that has thirty.
func BenchmarkRecord(b *testing.B) {
	d := dbtest.New(b)
	const fillSQL = `
WITH s AS (
    INSERT INTO site (ref, source_srid, source_x, source_y, geom)
    SELECT 'T' || i, 32616, 0, 0, ST_SetSRID(ST_MakePoint(482000 + i % 200, 4438000 + i / 200), 32616) FROM generate_series(1, 4000) i
    RETURNING id, ref),
t AS (
    INSERT INTO tree (ref, site_id, species, stage, planted, planted_precision, caliper_mm, dbh_mm, height_mm, measured_on)
    SELECT ref, id, 'ACRU', 'leader', '2018-04-01', 'year', 45, 96, 5400, '2025-08-01' FROM s ORDER BY id RETURNING id)
SELECT min(id)::text FROM t`
	first := dbtest.Query(b, d.URL(), fillSQL)[0]
	var tree int64
	if _, err := fmt.Sscan(first, &tree); err != nil {
		b.Fatal(err)
	}
	now := time.Date(2026, time.November, 20, 15, 0, 0, 0, time.UTC)
	n := 0
	add := func(b *testing.B, tree int64) {
		n++
		r := scheduler.WorkRecord{
			ID: fmt.Sprintf("7f1d3a50-0000-4000-8000-%012d", n), TreeID: tree, By: "R. Osei", Start: now.Add(time.Duration(n-100_000) * time.Minute),
			Kinds: []scheduler.WorkKind{scheduler.WalkClearance}, Outcome: scheduler.OutcomeDone, LiveCrown: 5, DBH: 100,
		}
		r.Finish = r.Start.Add(5 * time.Minute)
		out, err := jobs.Record{Store: d, Now: func() time.Time { return now }}.Run(b.Context(), jobs.RecordRequest{Records: []scheduler.WorkRecord{r}, Actor: "card"})
		if err != nil || out.Taken != 1 {
			b.Fatalf("%+v, %v", out, err)
		}
	}
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			tree++
			add(b, tree)
		}
	})
	b.Run("thirtieth", func(b *testing.B) {
		left := 0
		for b.Loop() {
			if left == 0 {
				b.StopTimer()
				tree++
				for range 30 {
					add(b, tree)
				}
				b.StartTimer()
				left = 10
			}
			add(b, tree)
			left--
		}
	})
}
