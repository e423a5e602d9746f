package db_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

func TestSecondCopiesAreMerged(t *testing.T) {
	w := newTown(t)
	tree := func(ref, species string, x float64) scheduler.Row {
		return w.row("trees", spot(x, 0), f{"ref": ref, "species": species})
	}
	rows := []scheduler.Row{
		tree("A", "ACRU", 0), tree("B", "ACRU", 0.4), // B is A
		tree("C", "ACRU", 0.95),
		tree("D", "GIBI", 10), tree("E", "ACRU", 10.5), tree("F", "ACRU", 11.1), // E is on the spot of D
	}
	for pass, want := range []scheduler.Diff{{New: 4, Merged: 1}, {Unchanged: 4, Merged: 1}} {
		id, l, diff := w.check("trees", rows)
		wantMerge := []scheduler.Merge{{Line: 2, Ref: "B", Into: "A", Why: "same position and species, 0.40 m apart"}}
		if d := cmp.Diff(wantMerge, diff.MergedInto); d != "" {
			t.Errorf("pass %d (-want +got):\n%s", pass, d)
		}
		if got := faults(diff.Faults); got != "5 position: two trees on one spot: D stands 0.50 m away" {
			t.Errorf("pass %d: %s", pass, got)
		}
		if diff.New != want.New || diff.Unchanged != want.Unchanged || diff.Merged != want.Merged {
			t.Errorf("pass %d: %+v", pass, diff)
		}
		w.apply(id, l, diff)
	}
}

func TestManyTreesOnOnePoint(t *testing.T) {
	w := newTown(t)
	var rows []scheduler.Row
	for i := range 3000 {
		rows = append(rows, w.row("trees", spot(5, 5), f{"ref": fmt.Sprint("T", i), "species": "ACRU"}))
	}
	if _, _, diff := w.check("trees", rows); diff.New != 1 || diff.Merged != 2999 {
		t.Errorf("new %d, merged %d", diff.New, diff.Merged)
	}
}

func TestSiteOutlivesItsTree(t *testing.T) {
	w := newTown(t)
	w.load("trees", w.row("trees", spot(0, 0), f{"ref": "OLD", "species": "ACRU", "address": "2 Weir Street"}),
		w.row("trees", spot(20, 0), f{"ref": "GAP", "state": "vacant"}))
	rows := []scheduler.Row{
		w.row("trees", spot(0.3, 0), f{"ref": "YOUNG", "species": "GIBI", "address": "2 Weir Street"}),
		w.row("trees", spot(0, 0), f{"ref": "OLD", "state": "removed"}),
		w.row("trees", spot(20, 0.1), f{"ref": "FILL", "species": "QUPA"}),
		w.row("trees", spot(20, 0), f{"ref": "GAP", "state": "vacant"}),
		w.row("trees", spot(40, 0), f{"ref": "GONE", "species": "QUPA", "state": "removed"}),
		w.row("trees", spot(40, 0.2), f{"ref": "NEXT", "species": "QUPA"}),
	}
	w.load("trees", rows...)
	want := "FILL alive GAP 20.0 0.1\nGAP removed GAP 20.0 0.1\nGONE removed NEXT 40.0 0.2\nNEXT alive NEXT 40.0 0.2\nOLD removed OLD 0.3 0.0\nYOUNG alive OLD 0.3 0.0"
	got := w.one("SELECT t.ref, t.state::text, s.ref, round((ST_X(s.geom) - 482000)::numeric, 1)::text, round((ST_Y(s.geom) - 4438000)::numeric, 1)::text FROM tree t JOIN site s ON s.id = t.site_id ORDER BY t.ref")
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	before := w.dump()
	w.load("trees", rows...)
	w.same("the same file again", before)
}

func TestOldFileDoesNotOverwriteNewerFacts(t *testing.T) {
	w := newTown(t)
	file := w.row("trees", spot(0, 0), f{
		"ref": "T", "species": "ACRU", "stage": "leader", "vigour": "good", "dbh_mm": geo.Length(100), "height_mm": geo.Length(6000),
		"measured_on": scheduler.NewDate(2022, 6, 1), "base_road_mm": geo.Length(2000), "stems": int64(2),
	})
	const facts = "SELECT dbh_mm, height_mm, measured_on, base_road_mm, base_walk_mm, base_on, stage::text, last_training, last_raise, last_visit, dose_season, dose_used_pct, stems FROM tree"
	w.load("trees", file)
	w.load("history",
		w.row("history", geo.Shape{}, f{"ref": "H1", "tree_ref": "T", "done_on": scheduler.NewDate(2025, 11, 20), "kind": "training", "stage": "raising", "live_crown_pct": int64(15), "dbh_mm": geo.Length(130), "base_walk_mm": geo.Length(2500)}),
		w.row("history", geo.Shape{}, f{"ref": "H2", "tree_ref": "T", "done_on": scheduler.NewDate(2026, 2, 1), "kind": "walk_clearance", "live_crown_pct": int64(10)}),
		w.row("history", geo.Shape{}, f{"ref": "H3", "tree_ref": "T", "done_on": scheduler.NewDate(2020, 2, 1), "kind": "training", "stage": "establishing", "live_crown_pct": int64(25), "dbh_mm": geo.Length(60), "base_road_mm": geo.Length(900)}))
	// Dose: November 2025 and February 2026 draw on the growing season of 2026.
	want := "130 6000 2025-11-20 2000 2500 2025-11-20 raising 2025-11-20 2026-02-01 2026-02-01 2026 25 2"
	if got := w.one(facts); got != want {
		t.Fatalf("after history:\n got %s\nwant %s", got, want)
	}
	if got := w.one("SELECT count(*) FROM measurement"); got != "3" {
		t.Errorf("%s measurements, want 3: the file's and two of the history's", got)
	}
	id, l, diff := w.check("trees", []scheduler.Row{file})
	if diff.Unchanged != 1 {
		t.Errorf("old file again: %+v", diff)
	}
	w.apply(id, l, diff)
	// A newer file counts, and says nothing about what it leaves out.
	w.load("trees", w.row("trees", spot(0, 0), f{"ref": "T", "dbh_mm": geo.Length(140), "measured_on": scheduler.NewDate(2026, 2, 20), "vigour": "poor"}))
	want = "140 6000 2026-02-20 2000 2500 2025-11-20 raising 2025-11-20 2026-02-01 2026-02-01 2026 25 2"
	if got := w.one(facts); got != want {
		t.Errorf("after a newer file:\n got %s\nwant %s", got, want)
	}
	// A record that arrives late moves nothing back.
	w.load("history", w.row("history", geo.Shape{}, f{"ref": "H4", "tree_ref": "T", "done_on": scheduler.NewDate(2024, 2, 1), "kind": "training", "live_crown_pct": int64(20), "dbh_mm": geo.Length(115)}))
	if got := w.one(facts); got != want {
		t.Errorf("after a late record:\n got %s\nwant %s", got, want)
	}
}
