package db_test

import (
	"fmt"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// larkin are the layers of a small town: two crossing streets, each of two
// blocks, with what stands along them.
func (w *town) larkin() map[string][]scheduler.Row {
	w.line = 0
	files := map[string][]scheduler.Row{
		"districts": {
			w.row("districts", box(-500, -500, 0, 500), f{"ref": "W", "name": "West"}),
			w.row("districts", box(0, -500, 500, 500), f{"ref": "E", "name": "East"}),
		},
		"sections": {
			w.row("sections", box(-500, -500, 500, 0), f{"ref": "S1", "name": "South", "cycle_year": int64(1)}),
			w.row("sections", box(-500, 0, 500, 500), f{"ref": "S2", "cycle_year": int64(2)}),
		},
		"streets": {
			w.row("streets", line(-200, 0, 0, 0), f{"ref": "weir-1", "name": "Weir Street", "class": "collector", "width_mm": geo.Length(12000), "parking": "both"}),
			w.row("streets", line(0, 0, 200, 0), f{"ref": "weir-2", "name": "Weir Street", "class": "collector", "speed_kmh": int64(40)}),
			w.row("streets", line(0, -200, 0, 0), f{"ref": "lock-1", "name": "Lock Lane", "class": "residential", "one_way": "forward", "parking": "right"}),
			w.row("streets", line(0, 0, 0, 200), f{"ref": "lock-2", "name": "Lock Lane", "class": "residential", "bus_route": true}),
		},
		"walks":  {w.row("walks", line(-200, 10, 200, 10), f{"ref": "w1", "width_mm": geo.Length(2000)})},
		"wires":  {w.row("wires", line(-200, 8.5, 200, 8.5), f{"ref": "p1", "class": "primary", "height_mm": geo.Length(9000)}), w.row("wires", line(-200, 8.5, 200, 8.5), f{"ref": "c1", "class": "communication", "height_mm": geo.Length(6000)})},
		"signs":  {w.row("signs", spot(-6, 7), f{"ref": "st1", "kind": "stop"}), w.row("signs", spot(-46, 7), f{"ref": "l1", "kind": "light", "height_mm": geo.Length(8000)})},
		"depots": {w.row("depots", spot(150, 150), f{"ref": "yard", "name": "North Yard"})},
		"dumps":  {w.row("dumps", spot(-150, -150), f{"ref": "pit", "name": "Old Pit", "minutes": int64(25)})},
		"crews": {
			w.row("crews", geo.Shape{}, f{"ref": "c1", "name": "Crew 1", "depot_ref": "yard", "people": int64(2), "truck_height_mm": geo.Length(3400), "truck_weight_kg": int64(11_500), "tickets": "first aid=2027-01-31; chipper=2026-06-30"}),
			w.row("crews", geo.Shape{}, f{"ref": "c2", "name": "Crew 2", "depot_ref": "yard", "people": int64(3), "skills": "lift ground", "weekdays": int64(15)}),
		},
	}
	for i := range 12 {
		x := float64(-190 + 15*i)
		files["trees"] = append(files["trees"], w.row("trees", spot(x, 7), f{
			"ref": fmt.Sprintf("T%02d", i), "species": "ACRU", "address": fmt.Sprintf("%d Weir Street", 10+2*i),
			"planted": scheduler.NewDate(2015, 10, 1), "planted_precision": "season", "caliper_mm": geo.Length(50),
			"dbh_mm": geo.Length(100 + i), "measured_on": scheduler.NewDate(2024, 5, 1), "base_road_mm": geo.Length(2100),
		}))
	}
	files["trees"] = append(files["trees"], w.row("trees", spot(30, -8), f{"ref": "V1", "state": "vacant", "owner": "private"}))
	for i := range 4 {
		files["history"] = append(files["history"], w.row("history", geo.Shape{}, f{
			"ref": fmt.Sprintf("H%d", i), "tree_ref": fmt.Sprintf("T%02d", i), "done_on": scheduler.NewDate(2019+i, 2, 3), "kind": "training",
			"stage": "leader", "live_crown_pct": int64(10), "minutes": int64(15), "by_whom": "contract",
		}))
	}
	return files
}

func (w *town) loadAll(files map[string][]scheduler.Row) map[string]int64 {
	w.t.Helper()
	ids := map[string]int64{}
	for _, l := range scheduler.Layers() {
		if rows := files[l.Name]; len(rows) > 0 {
			ids[l.Name] = w.load(l.Name, rows...)
		}
	}
	return ids
}

func TestImportTwiceChangesNothing(t *testing.T) {
	w := newTown(t)
	files := w.larkin()
	w.loadAll(files)
	before := w.dump()
	for _, l := range scheduler.Layers() {
		id, layer, diff := w.check(l.Name, files[l.Name])
		if diff.Unchanged != len(files[l.Name]) {
			t.Errorf("%s again: %+v", l.Name, diff)
		}
		w.apply(id, layer, diff)
		w.same(l.Name+" imported twice", before)
	}
}

func TestUndoGoesBackRowForRow(t *testing.T) {
	w := newTown(t)
	files := w.larkin()
	for _, l := range scheduler.Layers() {
		before := w.dump()
		id := w.load(l.Name, files[l.Name]...)
		got, err := w.UndoBatch(t.Context(), id, clerk)
		if err != nil {
			t.Fatalf("undo %s: %v", l.Name, err)
		}
		if want := (scheduler.UndoResult{Batch: id, Layer: l.Name, Removed: len(files[l.Name])}); l.Name != "history" && got != want {
			t.Errorf("undo %s: %+v, want %+v", l.Name, got, want)
		}
		w.same("undo of first "+l.Name, before)
		w.load(l.Name, files[l.Name]...)
	}
	// Every layer once more, with some rows changed and some new.
	w.line = 0
	change := map[string][]scheduler.Row{
		"districts": {w.row("districts", box(-500, -500, -20, 500), f{"ref": "W", "name": "Far West"}), w.row("districts", box(-20, -500, 0, 500), f{"ref": "M", "name": "Middle"})},
		"sections":  {w.row("sections", box(-500, -500, 500, -7.5), f{"ref": "S1", "cycle_year": int64(3)}), w.row("sections", box(-500, -7.5, 500, 0), f{"ref": "S3"})},
		"streets": {
			w.row("streets", line(-200, 1, 0, 0), f{"ref": "weir-1", "class": "arterial", "parking": "none"}),
			w.row("streets", line(-100, 30, -100, 0.5), f{"ref": "stub", "class": "alley"}),
		},
		"walks":  {w.row("walks", line(-200, 9, 200, 9), f{"ref": "w1"}), w.row("walks", line(-200, 4, 200, 4), f{"ref": "w2"})},
		"wires":  {w.row("wires", line(-200, 7.5, 200, 7.5), f{"ref": "p1", "class": "transmission"}), w.row("wires", line(-90, 5, 0, 5), f{"ref": "s1", "class": "service"})},
		"signs":  {w.row("signs", spot(-47, 7), f{"ref": "l1", "kind": "light"}), w.row("signs", spot(-90, 7), f{"ref": "x", "kind": "sign"})},
		"depots": {w.row("depots", spot(151, 150), f{"ref": "yard", "name": "New Yard"})},
		"dumps":  {w.row("dumps", spot(-151, -150), f{"ref": "pit", "name": "Old Pit", "sanitation": "elm"})},
		"crews":  {w.row("crews", geo.Shape{}, f{"ref": "c1", "people": int64(4), "truck_height_mm": geo.Length(3600), "truck_weight_kg": int64(12_000), "tickets": ""}), w.row("crews", geo.Shape{}, f{"ref": "c3", "name": "C3", "depot_ref": "yard", "people": int64(2)})},
		"trees": {
			w.row("trees", spot(-190, 7.2), f{"ref": "T00", "dbh_mm": geo.Length(140), "measured_on": scheduler.NewDate(2025, 5, 1)}), // moved, measured
			w.row("trees", spot(-175, 7), f{"ref": "T01", "state": "removed"}),                                                        // replaced below
			w.row("trees", spot(-175.2, 7), f{"ref": "N01", "species": "GIBI", "address": "12 Weir Street"}),
			w.row("trees", spot(30, -8), f{"ref": "N02", "species": "QUPA"}), // fills the vacant site
			w.row("trees", spot(60, -8), f{"ref": "N03", "species": "QUPA"}),
		},
		"history": {w.row("history", geo.Shape{}, f{"ref": "H9", "tree_ref": "T00", "done_on": scheduler.NewDate(2025, 11, 20), "kind": "road_clearance", "stage": "raising", "dbh_mm": geo.Length(150), "base_road_mm": geo.Length(3000)})},
	}
	for _, l := range scheduler.Layers() {
		before := w.dump()
		id := w.load(l.Name, change[l.Name]...)
		changed := w.dump()
		if _, err := w.UndoBatch(t.Context(), id, clerk); err != nil {
			t.Fatalf("undo changed %s: %v", l.Name, err)
		}
		w.same("undo of changed "+l.Name, before)
		if len(changed["batch_change"]) == len(before["batch_change"]) {
			t.Errorf("%s: the second file changed nothing, so its undo shows nothing", l.Name)
		}
	}
}
