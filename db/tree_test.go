package db_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

// Each fact of a tree and its site comes back in its own field: every column
// of the view is given another value.
func TestTreeReadsEveryFact(t *testing.T) {
	w := newTown(t)
	ctx := t.Context()
	const layersSQL = `
WITH d AS (INSERT INTO district (ref, name, geom) VALUES ('d1', 'One', ST_Multi(ST_MakeEnvelope(482000, 4438000, 482100, 4438100, 32616))) RETURNING id),
c AS (INSERT INTO section (ref, geom) VALUES ('s1', ST_Multi(ST_MakeEnvelope(482000, 4438000, 482100, 4438100, 32616))) RETURNING id),
st AS (INSERT INTO street (ref, class, speed_kmh, bus_route, truck_route, geom)
       VALUES ('b1', 'collector', 37, true, true, ST_SetSRID('LINESTRING(482000 4438000, 482100 4438000)'::geometry, 32616)) RETURNING id),
fa AS (INSERT INTO block_face (street_id, side) SELECT id, 'right' FROM st RETURNING id),
si AS (INSERT INTO site (ref, owner, address, source_srid, source_x, source_y, geom)
       VALUES ('site 1', 'shared', '214 Weir Street', 4326, 1, 2, ST_SetSRID(ST_MakePoint(482010.5, 4438004.25), 32616)) RETURNING id),
sf AS (INSERT INTO site_fact (site_id, district_id, section_id, street_id, street_side, face_id, along_mm, parking, to_curb_mm,
           to_lane_mm, half_road_mm, to_walk_mm, wire_class, wire_volts, to_wire_mm, wire_height_mm, to_sign_mm, to_light_mm, to_junction_mm, in_sight)
       SELECT si.id, d.id, c.id, st.id, 'right', fa.id, 10500, true, 101, 102, 103, 104, 'service', 240, 105, 106, 107, 108, 109, true
       FROM si, d, c, st, fa)
INSERT INTO tree (ref, site_id, species, state, planted, planted_precision, caliper_mm, stems, stage, vigour, dbh_mm, height_mm,
    crown_spread_mm, measured_on, base_road_mm, base_walk_mm, base_on, lowest_permanent_mm, last_training, last_rotation,
    last_raise, last_visit, broken_on, last_restored, last_inspected, last_watered, last_sprouts, dose_season, dose_used_pct)
SELECT 'T 1', id, 'MALUS', 'alive', '2019-11-01', 'month', 41, 2, 'raising', 'fair', 201, 4001, 3001, '2026-01-01', 1601, 1602,
    '2026-01-02', 1603, '2025-01-03', '2025-01-04', '2025-01-05', '2025-01-06',
    '2025-01-07', '2025-01-08', '2025-01-09', '2025-01-10', '2025-01-11', 2026, 17
FROM si RETURNING id, site_id`
	var id, site int64
	if err := w.sql.QueryRow(ctx, layersSQL).Scan(&id, &site); err != nil {
		t.Fatal(err)
	}
	got, err := w.TreeByRef(ctx, "T 1")
	if err != nil {
		t.Fatal(err)
	}
	d := scheduler.NewDate
	want := scheduler.TreeSite{
		Tree: scheduler.Tree{
			ID: id, Ref: "T 1", SiteID: site, Species: "MALUS", State: scheduler.Alive, Planted: d(2019, 11, 1), Precision: scheduler.PreciseMonth,
			Caliper: 41, Stems: 2, Stage: scheduler.StageRaising, Vigour: scheduler.VigourFair, DBH: 201, Height: 4001, Crown: 3001,
			MeasuredOn: d(2026, 1, 1), BaseRoad: 1601, BaseWalk: 1602, BaseOn: d(2026, 1, 2), Permanent: 1603, LastTraining: d(2025, 1, 3),
			LastRotation: d(2025, 1, 4), LastRaise: d(2025, 1, 5), LastVisit: d(2025, 1, 6), BrokenOn: d(2025, 1, 7),
			LastRestored: d(2025, 1, 8), LastInspected: d(2025, 1, 9), LastWatered: d(2025, 1, 10), LastSprouts: d(2025, 1, 11), DoseSeason: 2026, DoseUsed: 17,
			Watch: []scheduler.WatchItem{},
		},
		Site: scheduler.Site{
			ID: site, Ref: "site 1", Owner: scheduler.OwnerShared, Address: "214 Weir Street", Position: geo.Point{X: 482010.5, Y: 4438004.25},
			District: "d1", Section: "s1", StreetID: got.Site.StreetID, StreetSide: scheduler.SideRight, FaceID: got.Site.FaceID,
			StreetClass: scheduler.Collector, SpeedKmh: 37, BusRoute: true, TruckRoute: true, Parking: true, ToCurb: 101, ToLane: 102,
			HalfRoad: 103, ToWalk: 104, WireClass: scheduler.WireService, WireVolts: 240, ToWire: 105, WireHeight: 106, ToSign: 107, ToLight: 108,
			ToJunction: 109, InSight: true,
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if got.Site.StreetID == 0 || got.Site.FaceID == 0 {
		t.Error("street and face are missing")
	}
}

// Absent lengths are None, and a tree without any layer around it still reads.
func TestTreeWithoutFacts(t *testing.T) {
	w := newTown(t)
	w.load("trees", w.row("trees", spot(10, 10), f{"ref": "T-1", "species": "ACRU"}))
	got, err := w.TreeByRef(t.Context(), "T-1")
	if err != nil {
		t.Fatal(err)
	}
	for name, l := range map[string]geo.Length{
		"dbh": got.Tree.DBH, "height": got.Tree.Height, "base": got.Tree.BaseRoad, "permanent": got.Tree.Permanent,
		"to walk": got.Site.ToWalk, "to curb": got.Site.ToCurb, "wire": got.Site.ToWire,
	} {
		if l != geo.None {
			t.Errorf("%s is %v, want none", name, l)
		}
	}
	if got.Site.WireClass != scheduler.WireNone || got.Site.District != "" || got.Site.StreetID != 0 {
		t.Errorf("%+v", got.Site)
	}
	if _, err := w.Tree(t.Context(), 999); scheduler.KindOf(err) != scheduler.NotFound {
		t.Errorf("unknown tree: %v", err)
	}
}

// A page says how many there are in all, and the pages hold each tree once.
func TestTreeListPages(t *testing.T) {
	w := newTown(t)
	ctx := t.Context()
	var rows []scheduler.Row
	for i, sp := range []string{"ACRU", "QUPA", "ACRU", "TICO", "ACRU"} {
		rows = append(rows, w.row("trees", spot(float64(10+10*i), 10), f{"ref": "T-" + string(rune('1'+i)), "species": sp, "address": "5 Weir Street"}))
	}
	w.load("trees", rows...)
	var refs []string
	var after int64
	for {
		page, matched, err := w.TreeList(ctx, scheduler.TreeFilter{Species: "ACRU", Text: "weir"}, after, 2)
		if err != nil || matched != 3 {
			t.Fatalf("matched %d, %v", matched, err)
		}
		if len(page) == 0 {
			break
		}
		for _, ts := range page {
			refs = append(refs, ts.Tree.Ref)
			after = ts.Tree.ID
		}
	}
	if diff := cmp.Diff([]string{"T-1", "T-3", "T-5"}, refs); diff != "" {
		t.Error(diff)
	}
}
