package storetest

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

// Two trees do not stand on one spot; a site outlives its trees.
func batchSpots(t *testing.T, w *town) {
	removed := f{"state": "removed"}
	for _, c := range []struct {
		name string
		rows []row
		want string
		into string
	}{
		{"a second copy is merged", []row{tree("A", "ACRU", 100, 200, nil), tree("B", "ACRU", 100.4, 200, nil)}, "new 1 changed 0 unchanged 0 merged 1", "A"},
		{"and with a tree that is there", []row{tree("B", "QUPA", 40, 106.3, nil)}, "new 0 changed 0 unchanged 0 merged 1", "PL-2"},
		{"another species is not", []row{tree("B", "GIBI", 40, 106.3, nil)}, "new 0 changed 0 unchanged 0 merged 0; 1 position", ""},
		{"nor further away", []row{tree("B", "QUPA", 40, 106.6, nil)}, "new 1 changed 0 unchanged 0 merged 0", ""},
		{"a site under a tree is not vacant", []row{{shape: point(40, 106), f: f{"ref": "B", "state": "vacant"}}}, "new 0 changed 0 unchanged 0 merged 0; 1 position", ""},
		{"a known tree moves onto another", []row{tree("PL-3", "ACRU", 40, 106.2, nil)}, "new 0 changed 0 unchanged 0 merged 0; 1 position", ""},
		{"two change places", []row{tree("PL-3", "ACRU", 40, 106, nil), tree("PL-2", "QUPA", 60, 106, nil)}, "new 0 changed 2 unchanged 0 merged 0", ""},
		{"one follows another", []row{tree("PL-3", "ACRU", 40, 106, nil), tree("PL-2", "QUPA", 20, 106, nil)}, "new 0 changed 2 unchanged 0 merged 0", ""},
		{
			"a new one comes where a tree went",
			[]row{tree("PL-2", "QUPA", 20, 106, nil), tree("B", "GIBI", 40, 106, nil)},
			"new 1 changed 1 unchanged 0 merged 0", "",
		},
		{
			"but not where it had to stay",
			[]row{tree("PL-2", "QUPA", 60, 106.1, nil), tree("B", "GIBI", 40, 106, nil)},
			"new 0 changed 0 unchanged 0 merged 0; 1 position; 2 position", "",
		},
		{
			"nor may a third come after",
			[]row{tree("PL-4", "TICO", 40, 106.2, nil), tree("PL-2", "QUPA", 60, 106.1, nil)},
			"new 0 changed 0 unchanged 0 merged 0; 1 position; 2 position", "",
		},
		{
			"a stump that moves beside hides no tree",
			[]row{tree("PL-6", "FRPE", 40.3, 106, removed), tree("B", "GIBI", 40.45, 106, nil)},
			"new 0 changed 1 unchanged 0 merged 0; 2 position", "",
		},
		{"one tree stands on a site", []row{tree("PL-6", "FRPE", 340, 106, removed), tree("B", "GIBI", 340, 106, nil), tree("C", "ACRU", 340.2, 106, removed)}, "new 2 changed 1 unchanged 0 merged 0", ""},
		{"none comes back to life under another", []row{tree("X", "ACRU", 41, 106, nil)}, "new 1 changed 0 unchanged 0 merged 0", ""},
	} {
		b := w.check("trees", c.rows...)
		if got := told(&b.diff); got != c.want {
			t.Errorf("%s: %s\nwant %s\n%v", c.name, got, c.want, b.diff.Faults)
		}
		if c.into != "" && (len(b.diff.MergedInto) != 1 || b.diff.MergedInto[0].Into != c.into || b.diff.MergedInto[0].Why == "") {
			t.Errorf("%s: merged %+v, want into %s", c.name, b.diff.MergedInto, c.into)
		}
		if b.diff.New+b.diff.Changed+b.diff.Unchanged+b.diff.Merged == 0 {
			w.must(w.DiscardBatch(t.Context(), b.id, w.stamp("clerk")))
			continue
		}
		w.must(w.apply(&b))
		_, err := w.UndoBatch(t.Context(), b.id, w.stamp("clerk"))
		w.must(err)
	}
	w.imported("trees", tree("OLD", "ACRU", 100, 200, f{"address": "2 Mill Street"}), row{shape: point(120, 200), f: f{"ref": "GAP", "state": "vacant"}})
	w.imported("trees", tree("YOUNG", "GIBI", 100.3, 200, f{"address": "2 Mill Street"}), tree("OLD", "ACRU", 100, 200, removed), tree("FILL", "QUPA", 120, 200.1, nil))
	if old, young := w.site("OLD"), w.site("YOUNG"); old.ID != young.ID || young.Ref != "OLD" || young.Position != at(100.3, 200) {
		t.Errorf("the site of OLD outlives it: %+v, %+v", old, young)
	}
	if gap := w.treeNamed("GAP"); gap.State != scheduler.Removed || gap.SiteID != w.treeNamed("FILL").SiteID {
		t.Errorf("the vacant site was filled: %+v", gap)
	}
	b := w.check("trees", tree("OLD", "ACRU", 100, 200, f{"state": "alive"}))
	if got := told(&b.diff); got != "new 0 changed 0 unchanged 0 merged 0; 1 state" {
		t.Errorf("a tree on a site with another comes back to life: %s", got)
	}
}

func (w *town) site(ref string) scheduler.Site {
	w.t.Helper()
	ts, err := w.TreeByRef(w.t.Context(), ref)
	w.must(err)
	return ts.Site
}

// Facts only move to newer ones: an old inventory or a past visit found late
// overwrites nothing, and the dose counts by growing season.
func batchFactsMoveForward(t *testing.T, w *town) {
	day := scheduler.NewDate
	visit := func(ref, kind string, on scheduler.Date, dose int64, more f) row {
		r := past(ref, "T", kind, on)
		r.f["live_crown_pct"] = dose
		for k, v := range more {
			r.f[k] = v
		}
		return r
	}
	inventory := tree("T", "ACRU", 100, 200, f{
		"stage": "leader", "dbh_mm": geo.Length(100), "height_mm": geo.Length(6000), "measured_on": day(2022, 6, 1),
		"base_road_mm": geo.Length(2000), "stems": int64(2),
	})
	step := func(what, want string) {
		t.Helper()
		x := w.treeNamed("T")
		got := fmt.Sprintf("dbh %d height %d on %s, bases %d %d on %s, %s %s, %s %s %s, dose %d in %d",
			x.DBH, x.Height, x.MeasuredOn, x.BaseRoad, x.BaseWalk, x.BaseOn, x.Stage, x.Vigour, x.LastTraining, x.LastRaise, x.LastVisit, x.DoseUsed, x.DoseSeason)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", what, diff)
		}
	}
	w.imported("trees", inventory)
	w.imported("history",
		visit("t1", "training", day(2025, 11, 20), 15, f{"stage": "raising", "dbh_mm": geo.Length(130), "base_walk_mm": geo.Length(2500)}),
		visit("t2", "walk_clearance", day(2026, 2, 1), 10, nil),
		visit("t3", "training", day(2020, 2, 1), 25, f{"stage": "establishing", "dbh_mm": geo.Length(60), "base_road_mm": geo.Length(900)}))
	// November 2025 and February 2026 draw on the growing season of 2026 (the leaves are down in between).
	want := "dbh 130 height 6000 on 2025-11-20, bases 2000 2500 on 2025-11-20, raising good, 2025-11-20 2026-02-01 2026-02-01, dose 25 in 2026"
	step("after past visits", want)
	before := w.picture()
	b := w.check("trees", inventory)
	if got := told(&b.diff); got != "new 0 changed 0 unchanged 1 merged 0" {
		t.Errorf("the old inventory again: %s", got)
	}
	w.must(w.apply(&b))
	w.same("the old inventory again", before, true)
	w.imported("trees", tree("T", "ACRU", 100, 200, f{"stage": "leader", "dbh_mm": geo.Length(140), "measured_on": day(2026, 2, 20), "vigour": "poor"}))
	want = "dbh 140 height 6000 on 2026-02-20, bases 2000 2500 on 2025-11-20, raising poor, 2025-11-20 2026-02-01 2026-02-01, dose 25 in 2026"
	step("after a newer inventory", want)
	w.imported("history", visit("t4", "training", day(2024, 2, 1), 20, f{"dbh_mm": geo.Length(115), "base_road_mm": geo.Length(1500)}))
	step("after a past visit found late", want)
	w.imported("history", visit("t5", "rotation_prune", day(2026, 3, 1), 90, nil), visit("t6", "inspection", day(2026, 11, 5), 5, nil))
	want = "dbh 140 height 6000 on 2026-02-20, bases 2000 2500 on 2025-11-20, raising poor, 2025-11-20 2026-02-01 2026-11-05, dose 5 in 2027"
	step("a new season's dose begins at nothing", want)

	// Water and sprouts say nothing about the tree: they are no visit to it.
	w.imported("history", visit("t7", "make_safe", day(2026, 1, 10), 0, nil), visit("t8", "restoration", day(2026, 1, 20), 0, nil),
		visit("t9", "watering", day(2026, 11, 8), 0, nil), visit("t10", "basal_sprouts", day(2026, 11, 9), 0, nil), visit("t11", "make_safe", day(2025, 1, 10), 0, nil))
	x := w.treeNamed("T")
	got := [...]scheduler.Date{x.BrokenOn, x.LastRestored, x.LastInspected, x.LastWatered, x.LastSprouts, x.LastVisit}
	if want := [...]scheduler.Date{day(2026, 1, 10), day(2026, 1, 20), day(2026, 11, 5), day(2026, 11, 8), day(2026, 11, 9), day(2026, 11, 5)}; got != want {
		t.Errorf("broken, restored, inspected, watered, sprouts, seen on %v, want %v", got, want)
	}
}

// What lies around a tree is reduced to numbers, worked out here by hand: metres
// from the trunk's centre, less half the road or the walk.
func sitesAreReduced(t *testing.T, w *town) {
	w.imported("walks", row{shape: line(0, 109, 400, 109), f: f{"ref": "w1", "width_mm": geo.Length(1800)}}, row{shape: line(0, -90, 400, -90), f: f{"ref": "w2"}})
	w.imported("wires", row{shape: line(0, 104, 400, 104), f: f{"ref": "x1", "class": "communication", "height_mm": geo.Length(6000)}},
		row{shape: line(0, 104, 400, 104), f: f{"ref": "x2", "class": "primary", "height_mm": geo.Length(9000)}})
	w.imported("signs", row{shape: point(43, 102), f: f{"ref": "g1", "kind": "stop"}}, row{shape: point(40, 111), f: f{"ref": "g2", "kind": "light"}})
	w.imported("trees", tree("S-1", "ACRU", 195, 50, nil), tree("S-2", "ACRU", 600, 300, nil), tree("S-3", "ACRU", 30, 105.5, nil))
	type facts struct {
		Place                                      string
		Curb, Lane, Half, Walk                     geo.Length
		Wire                                       scheduler.WireClass
		ToWire, WireHeight, Sign, Light, Junction_ geo.Length
		Parking, Bus, InSight                      bool
	}
	const none = geo.None
	streets := map[int64]string{0: "-"}
	list, err := w.Streets(t.Context())
	w.must(err)
	for _, s := range list {
		streets[s.ID] = s.Ref
	}
	for ref, want := range map[string]facts{
		// 6 m north of a street 10 m wide; 3-4-5 to the sign.
		"PL-2": {"north s1 b1 left residential", 1000, 1000, 5000, 2100, scheduler.WirePrimary, 2000, 9000, 5000, 5000, 40000, false, false, false},
		// The block runs west: north of it is its right.
		"PL-1": {"south s1 b4 right arterial", 1000, 1000, 5000, 3250, scheduler.WireNone, none, none, none, none, none, false, true, false},
		// 5 m west of a block with parking on both sides, which runs south, on its curb; 50 m to the corner.
		"S-1": {"north s1 b3 right residential", 0, 2400, 5000, none, scheduler.WireNone, none, none, none, none, 50000, true, false, false},
		"S-2": {"empty s1 -  ", none, none, none, none, scheduler.WireNone, none, none, none, none, none, false, false, false},
		// 30 m along the block is too far from the corner to lie in its sight triangle.
		"S-3": {"north s1 b1 left residential", 500, 500, 5000, 2600, scheduler.WirePrimary, 1500, 9000, 13463, 11413, 30000, false, false, false},
	} {
		s := w.site(ref)
		got := facts{
			fmt.Sprintf("%s %s %s %s %s", s.District, s.Section, streets[s.StreetID], s.StreetSide, s.StreetClass),
			s.ToCurb, s.ToLane, s.HalfRoad, s.ToWalk, s.WireClass, s.ToWire, s.WireHeight, s.ToSign, s.ToLight, s.ToJunction, s.Parking, s.BusRoute, s.InSight,
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", ref, diff)
		}
		if (s.FaceID == 0) != (s.StreetID == 0) {
			t.Errorf("%s: street %d, face %d", ref, s.StreetID, s.FaceID)
		}
	}
	// What changes around a site changes its numbers.
	w.imported("streets", row{shape: line(0, 98, 200, 98), f: f{"ref": "b1", "class": "collector", "width_mm": geo.Length(12000), "parking": "left"}})
	w.imported("districts", row{shape: box(50, 0, 400, 400), f: f{"ref": "north", "name": "North"}})
	if s := w.site("PL-2"); s.ToCurb != 2000 || s.ToLane != 4400 || !s.Parking || s.District != "" || s.StreetClass != scheduler.Collector {
		t.Errorf("after the changes: %+v", s)
	}
	if list := w.picture().Districts; list[1].Ref != "north" || list[1].Version != 2 || list[0].Version != 1 {
		t.Errorf("a moved boundary is a new version: %+v", list)
	}
}
