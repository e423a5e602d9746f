package db_test

import (
	"slices"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// TestUndoIsRefused puts later work on a batch and expects undo to name it.
func TestUndoIsRefused(t *testing.T) {
	w := newTown(t)
	ids := w.loadAll(w.larkin())
	refused := func(layer, why string) {
		t.Helper()
		before := w.dump()
		_, err := w.UndoBatch(t.Context(), ids[layer], clerk)
		if scheduler.KindOf(err) != scheduler.Clash || !strings.Contains(err.Error(), why) {
			t.Errorf("undo %s: %v, want a clash with %q", layer, err, why)
		}
		w.same("refused undo of "+layer, before)
	}
	refused("trees", "4 with a work record")
	refused("depots", "2 with a crew that starts there")
	w.exec("INSERT INTO packet (day, crew_id, yard_min, drive_min, setup_min, work_min, dump_min, break_min, slack_min, bound_min, made_at) SELECT '2026-03-03', min(id), 0, 0, 0, 0, 0, 0, 0, 0, now() FROM crew")
	refused("crews", "1 with a packet")
	w.exec("INSERT INTO parking_sign (face_id, valid_from, valid_to) SELECT min(id), '2026-03-03', '2026-03-04' FROM block_face")
	refused("streets", "1 with parking signs posted")
	w.exec("UPDATE tree SET revision = revision + 1 WHERE ref = 'T01'")
	refused("history", "1 with facts written since")
	w.exec("UPDATE tree SET revision = revision - 1 WHERE ref = 'T01'")
	if _, err := w.UndoBatch(t.Context(), ids["history"], clerk); err != nil {
		t.Fatal(err)
	}

	first := w.load("trees", w.row("trees", spot(-190, 7), f{"ref": "T00", "stems": int64(2)}))
	w.load("trees", w.row("trees", spot(-190, 7), f{"ref": "T00", "stems": int64(3)}))
	refused("trees", "1 changed by a later import")
	ids["trees again"] = first
	refused("trees again", "1 changed again by a later import")

	w.exec("INSERT INTO visit (tree_id, site_id, kind, kinds, state, class, minutes, detail, as_of, origin) SELECT id, site_id, 'make_safe', '{make_safe}', 'due', 0, 10, '{}', '2026-03-02', 'hazard' FROM tree WHERE ref = 'T05'")
	refused("trees", "1 with a visit that the rules did not make")
	if _, err := w.UndoBatch(t.Context(), 999, clerk); scheduler.KindOf(err) != scheduler.NotFound {
		t.Errorf("undo of no batch: %v", err)
	}
}

// TestUndoTakesOpenVisitsAlong: what the rules derived goes with its tree.
func TestUndoTakesOpenVisitsAlong(t *testing.T) {
	w := newTown(t)
	before := w.dump()
	id := w.load("trees", w.row("trees", spot(0, 0), f{"ref": "T", "species": "ACRU"}))
	w.exec("INSERT INTO visit (tree_id, site_id, kind, kinds, state, class, minutes, detail, as_of) SELECT id, site_id, 'training', '{training}', 'due', 4, 3, '{}', '2026-03-02' FROM tree")
	if _, err := w.UndoBatch(t.Context(), id, clerk); err != nil {
		t.Fatal(err)
	}
	w.same("undo with an open visit", before)
	if _, err := w.UndoBatch(t.Context(), id, clerk); scheduler.KindOf(err) != scheduler.Clash {
		t.Errorf("second undo: %v", err)
	}
	list, err := w.ListBatches(t.Context())
	if err != nil || len(list) != 1 || list[0].State != "undone" || list[0].Undone.IsZero() || list[0].Counts.Accepted != 1 {
		t.Errorf("list: %+v, %v", list, err)
	}
}

func TestApplyRefusesWhatWasNotChecked(t *testing.T) {
	w := newTown(t)
	ctx := t.Context()
	l, _ := scheduler.LayerNamed("signs")
	sign := func(ref string) scheduler.Row { return w.row("signs", spot(0, 0), f{"ref": ref, "kind": "stop"}) }
	id, err := w.OpenBatch(ctx, "signs", "x", clerk)
	if err != nil {
		t.Fatal(err)
	}
	one := scheduler.BatchCounts{Read: 1, Accepted: 1}
	if _, err := w.Stage(ctx, id, l, slices.Values([]scheduler.Row{sign("a")})); err != nil {
		t.Fatal(err)
	}
	want := func(what string, kind scheduler.Kind, err error) {
		t.Helper()
		if scheduler.KindOf(err) != kind {
			t.Errorf("%s: %v, want %s", what, err, kind)
		}
	}
	want("unchecked", scheduler.Clash, w.ApplyBatch(ctx, id, l, one, clerk))
	if _, err := w.CheckStaged(ctx, id, l, importDay); err != nil {
		t.Fatal(err)
	}
	other, _, diff := w.check("signs", []scheduler.Row{sign("a")})
	want("no actor", scheduler.Invalid, w.ApplyBatch(ctx, other, l, countsOf(diff), scheduler.Stamp{At: clerk.At}))
	w.apply(other, l, diff)
	want("other import in between", scheduler.Stale, w.ApplyBatch(ctx, id, l, one, clerk))
	again, err := w.CheckStaged(ctx, id, l, importDay)
	if err != nil || again.Unchanged != 1 {
		t.Errorf("checked again: %+v, %v", again, err)
	}
	want("other counts", scheduler.Stale, w.ApplyBatch(ctx, id, l, scheduler.BatchCounts{Accepted: 2}, clerk))
	w.exec("TRUNCATE stage_key") // what a crash of the server does to the stage
	want("lost stage", scheduler.Stale, w.ApplyBatch(ctx, id, l, one, clerk))
	if err := w.DiscardBatch(ctx, id, clerk); err != nil {
		t.Error(err)
	}
	want("discarded", scheduler.NotFound, w.ApplyBatch(ctx, id, l, one, clerk))
	_, err = w.OpenBatch(ctx, "roads", "x", clerk)
	want("unknown layer", scheduler.NotFound, err)
	bad := w.row("signs", geo.Shape{}, f{"ref": "a\x00"})
	id, _ = w.OpenBatch(ctx, "signs", "x", clerk)
	_, err = w.Stage(ctx, id, l, slices.Values([]scheduler.Row{bad}))
	want("zero byte", scheduler.Invalid, err)
}
