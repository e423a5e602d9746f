package storetest

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// Taking a batch back leaves the store row for row as it was.
func batchUndo(t *testing.T, w *town) {
	ctx := t.Context()
	for _, c := range []struct {
		layer             string
		rows              []row
		removed, restored int
	}{
		{"districts", []row{{shape: box(0, 0, 50, 400), f: f{"ref": "north", "name": "Narrow"}}, {shape: box(50, 0, 400, 400), f: f{"ref": "rest", "name": "Rest"}}}, 1, 1},
		{"sections", []row{{shape: box(0, -400, 300, 400), f: f{"ref": "s1", "cycle_year": int64(2)}}, {shape: box(300, 0, 400, 400), f: f{"ref": "s2"}}}, 1, 1},
		{"streets", []row{
			{shape: line(0, 103, 200, 103), f: f{"ref": "b1", "class": "arterial", "parking": "both"}},
			{shape: line(300, 110, 350, 110), f: f{"ref": "c1", "class": "alley"}},
		}, 1, 1},
		{"walks", []row{{shape: line(0, 108, 400, 108), f: f{"ref": "w1", "width_mm": geo.Length(1800)}}}, 1, 0},
		{"wires", []row{{shape: line(0, 105, 400, 105), f: f{"ref": "x1", "class": "primary", "height_mm": geo.Length(9000)}}}, 1, 0},
		{"signs", []row{{shape: point(42, 104), f: f{"ref": "g1", "kind": "light"}}}, 1, 0},
		{"depots", []row{{shape: point(12, 95), f: f{"ref": "yard", "name": "Other yard"}}, {shape: point(300, 95), f: f{"ref": "yard2", "name": "Second"}}}, 1, 1},
		{"dumps", []row{{shape: point(390, 95), f: f{"ref": "tip", "minutes": int64(25)}}, {shape: point(20, -95), f: f{"ref": "tip2", "name": "West tip"}}}, 1, 1},
		{"crews", []row{{f: crew("t1", "Training uno", "ground lift", "")}, {f: crew("t9", "Training nine", "ground", "")}}, 1, 1},
		{"trees", []row{
			tree("PL-2", "QUPA", 41, 106, f{"owner": "shared", "dbh_mm": geo.Length(170), "measured_on": scheduler.NewDate(2026, 10, 1)}), // tree and site
			tree("PL-6", "FRPE", 340, 106, f{"state": "removed"}), tree("PL-60", "ACRU", 340, 106.2, nil),                                 // a new tree on its site
			tree("PL-61", "GIBI", 380, 106, f{"height_mm": geo.Length(3000), "measured_on": scheduler.NewDate(2026, 10, 1)}),
		}, 2, 4}, // PL-2 and its site, PL-6 and its site
		{"history", []row{
			past("h8", "PL-4", "rotation_prune", scheduler.NewDate(2024, 2, 8)), past("h9", "PL-1", "training", scheduler.NewDate(2020, 2, 8)),
		}, 2, 1}, // the older visit of PL-1 moved no fact
	} {
		before := w.picture()
		b := w.imported(c.layer, c.rows...)
		w.due()
		if len(before.Trees) == 0 {
			t.Fatal("an empty picture shows nothing")
		}
		got, err := w.UndoBatch(ctx, b.id, w.stamp("clerk"))
		w.must(err)
		if want := (scheduler.UndoResult{Batch: b.id, Layer: c.layer, Removed: c.removed, Restored: c.restored}); got != want {
			t.Errorf("undo %s: %+v, want %+v", c.layer, got, want)
		}
		after := w.picture()
		for _, p := range []*picture{&before, &after} { // the rules' visits follow in the night to come
			p.Overdue, p.Batches = scheduler.OverdueTable{}, nil
			for i := range p.Trees {
				p.Trees[i].Visits, p.Trees[i].Seen.Open = nil, nil
			}
		}
		if diff := difference(before, after); diff != "" {
			t.Errorf("undo %s (-before +after):\n%s", c.layer, diff)
		}
		_, err = w.UndoBatch(ctx, b.id, w.stamp("clerk"))
		w.wants(scheduler.Clash, err)
	}
	_, err := w.UndoBatch(ctx, 999_999, w.stamp("clerk"))
	w.wants(scheduler.NotFound, err)
	_, err = w.UndoBatch(ctx, w.staged("signs").id, w.stamp("clerk"))
	w.wants(scheduler.Clash, err)
}

// What later work rests on is not taken back; the refusal names it and writes nothing.
func batchUndoIsRefused(t *testing.T, w *town) {
	ctx := t.Context()
	refused := func(id int64, why string) {
		t.Helper()
		before := w.picture()
		_, err := w.UndoBatch(ctx, id, w.stamp("clerk"))
		if scheduler.KindOf(err) != scheduler.Clash || !strings.Contains(err.Error(), why) {
			t.Errorf("undo: %v, want a clash with %q", err, why)
		}
		w.same("refused undo: "+why, before, false)
	}
	ids := map[string]int64{}
	for _, b := range w.picture().Batches {
		ids[b.Layer] = b.ID
	}
	refused(ids["depots"], "3 with a crew that starts there")
	refused(ids["trees"], "3 with a work record")
	fresh := w.imported("trees", tree("PL-7", "ACRU", 80, 106, f{"stage": "leader"}), tree("PL-8", "ACRU", 120, 106, f{"stage": "leader"}))
	lone := w.imported("crews", row{f: crew("t9", "Training nine", "ground", "")})
	w.due()
	p := w.pack("t9", 3, w.lead("PL-7").ID)
	refused(lone.id, "1 with a packet")
	refused(fresh.id, "1 with a stop of a packet")
	w.move(p, scheduler.PacketRecalled)
	refused(fresh.id, "1 with a stop of a packet") // it was on paper
	w.plan(2027)
	refused(fresh.id, "in an annual plan")
	w.send(w.recordOf(1, w.lead("PL-8"), func(r *scheduler.WorkRecord) {
		r.Watch = []scheduler.WatchFinding{{What: "competing leader", Intent: scheduler.RemoveLater}}
	}))
	for _, why := range []string{"1 with a work record", "1 with a watch item", "1 edited since", "1 with a visit that the rules did not make"} {
		refused(fresh.id, why)
	}

	first := w.imported("trees", tree("PL-4", "TICO", 300, 106, f{"stems": int64(2)}))
	second := w.imported("trees", tree("PL-4", "TICO", 300, 106, f{"stems": int64(3)}))
	refused(ids["trees"], "changed by a later import")
	refused(first.id, "1 changed again by a later import")
	_, err := w.UndoBatch(ctx, second.id, w.stamp("clerk"))
	w.must(err)
	_, err = w.UndoBatch(ctx, first.id, w.stamp("clerk"))
	w.must(err)
	if got := w.treeNamed("PL-4").Stems; got != 1 {
		t.Errorf("PL-4 has %d stems, want 1", got)
	}
}
