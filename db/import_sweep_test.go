package db_test

import (
	"slices"
	"testing"
	"time"

	"limbround/scheduler"
)

// An import that was killed leaves its batch staged. The next one, of any layer,
// clears it away when it is a day old: not one that may be under way, and
// not one that is held for somebody's decision.
func TestDeadImportsAreSweptAway(t *testing.T) {
	w := newTown(t)
	ctx := t.Context()
	layer, _ := scheduler.LayerNamed("signs")
	ago := func(d time.Duration) scheduler.Stamp { return scheduler.Stamp{Actor: "clerk", At: clerk.At.Add(-d)} }
	open := func(file string, by scheduler.Stamp) int64 {
		t.Helper()
		id, err := w.OpenBatch(ctx, "signs", file, by)
		if err != nil {
			t.Fatal(err)
		}
		rows := []scheduler.Row{w.row("signs", spot(10, 10), f{"ref": "G1", "kind": "stop"})}
		if _, err := w.Stage(ctx, id, layer, slices.Values(rows)); err != nil {
			t.Fatal(err)
		}
		return id
	}
	held := open("held", ago(72*time.Hour))
	if _, err := w.CheckStaged(ctx, held, layer, importDay); err != nil {
		t.Fatal(err)
	}
	if err := w.HoldBatch(ctx, held, scheduler.BatchCounts{Read: 1, Accepted: 1}, ago(72*time.Hour)); err != nil {
		t.Fatal(err)
	}
	open("dead", ago(46*time.Hour))
	open("under way", ago(23*time.Hour))
	if got := w.one(`SELECT string_agg(file, ', ' ORDER BY id) FROM batch`); got != "held, dead, under way" {
		t.Errorf("batches 23 hours later: %s", got)
	}
	if _, err := w.OpenBatch(ctx, "walks", "next", clerk); err != nil {
		t.Fatal(err)
	}
	if got := w.one(`SELECT string_agg(file, ', ' ORDER BY id) FROM batch`); got != "held, under way, next" {
		t.Errorf("batches: %s", got)
	}
	if got := w.one(`SELECT count(*)::text FROM stage_signs s WHERE NOT EXISTS (SELECT FROM batch b WHERE b.id = s.batch_id)`); got != "0" {
		t.Errorf("%s staged rows of batches that are gone", got)
	}
	if got := w.one(`SELECT string_agg(detail ->> 'file', ', ') FROM audit WHERE noun = 'batch' AND verb = 'discard'`); got != "dead" {
		t.Errorf("discarded: %s", got)
	}
}
