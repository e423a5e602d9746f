package db_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

func lonLat(lon, lat float64) geo.Shape { return geo.NewPoint(4326, geo.Point{X: lon, Y: lat}) }

func TestFaultsNameTheRule(t *testing.T) {
	w := newTown(t)
	w.loadAll(w.larkin())
	const outside = "a tree stands inside a district; this one lies in water or outside the city"
	alive := func(ref string, more f) f {
		all := f{"ref": ref, "species": "ACRU"}
		for k, v := range more {
			all[k] = v
		}
		return all
	}
	past := func(ref, tree string, on scheduler.Date) f {
		return f{"ref": ref, "tree_ref": tree, "done_on": on, "kind": "training"}
	}
	crew := func(ref string, more f) f {
		all := f{"ref": ref, "name": "X", "depot_ref": "yard", "people": int64(2)}
		for k, v := range more {
			all[k] = v
		}
		return all
	}
	none := geo.Shape{}
	for _, c := range []struct {
		name, layer string
		rows        []scheduler.Row
		want        string
	}{
		{
			"same key twice", "trees",
			[]scheduler.Row{w.row("trees", spot(-90, 20), alive("A", nil)), w.row("trees", spot(-80, 20), alive("A", nil))},
			"2 ref: a key stands once in a file; line 1 came first and counts",
		},
		{"no key", "signs", []scheduler.Row{w.row("signs", spot(0, 0), f{"kind": "stop"})}, "1 ref: every row has a key"},
		{"outside", "trees", []scheduler.Row{w.row("trees", spot(900, 0), alive("A", nil))}, "1 position: " + outside},
		{
			"swapped", "trees",
			[]scheduler.Row{w.row("trees", lonLat(40.0935, -87.2112), alive("A", nil))},
			"1 position: " + outside + "; latitude and longitude look swapped",
		},
		{
			"no place on earth", "trees",
			[]scheduler.Row{w.row("trees", lonLat(-85.2, 140), alive("A", nil))},
			"1 position: the position has no place in the city's coordinate system EPSG:32616",
		},
		{"no position", "trees", []scheduler.Row{w.row("trees", none, alive("A", nil))}, "1 position: every row of this layer has a position"},
		{
			"far away", "walks",
			[]scheduler.Row{w.row("walks", line(0, 400000, 10, 400000), f{"ref": "A"})},
			"1 position: a position lies within 150 km of the rest of the city",
		},
		{
			"unknown species", "trees",
			[]scheduler.Row{w.row("trees", spot(-90, 20), alive("A", f{"species": "XXXX"}))},
			"1 species: a species is named by a code of the species table",
		},
		{"living without species", "trees", []scheduler.Row{w.row("trees", spot(-90, 20), f{"ref": "A"})}, "1 species: a living tree has a species"},
		{
			"two trees on one spot", "trees",
			[]scheduler.Row{w.row("trees", spot(-190, 7.3), alive("A", f{"species": "GIBI"}))},
			"1 position: two trees on one spot: T00 stands 0.30 m away",
		},
		{
			"two of one file", "trees",
			[]scheduler.Row{w.row("trees", spot(-90, 20), alive("A", nil)), w.row("trees", spot(-90, 20.2), alive("B", f{"species": "GIBI"}))},
			"2 position: two trees on one spot: A stands 0.20 m away",
		},
		{
			"moved onto another", "trees",
			[]scheduler.Row{w.row("trees", spot(-175, 7.1), alive("T00", nil))},
			"1 position: two trees on one spot: T01 stands 0.10 m away",
		},
		{
			"vacant under a tree", "trees",
			[]scheduler.Row{w.row("trees", spot(-190, 7), f{"ref": "A", "state": "vacant"})},
			"1 position: a vacant site has no tree, but T00 stands 0.00 m away",
		},
		{
			"several faults of one row", "trees",
			[]scheduler.Row{w.row("trees", spot(900, 0), alive("A", f{"species": "XXXX"}))},
			"1 position: " + outside + "\n1 species: a species is named by a code of the species table",
		},
		{
			"history of an unknown tree", "history",
			[]scheduler.Row{w.row("history", none, past("A", "nobody", importDay))},
			"1 tree_ref: a past visit names a tree that has been imported",
		},
		{
			"history before planting", "history",
			[]scheduler.Row{w.row("history", none, past("A", "T00", scheduler.NewDate(2014, 12, 31)))},
			"1 done_on: work on a tree is not earlier than its planting (2015-10-01, known to the season)",
		},
		{"history in the planting year", "history", []scheduler.Row{w.row("history", none, past("A", "T00", scheduler.NewDate(2015, 1, 1)))}, ""},
		{
			"history of tomorrow", "history",
			[]scheduler.Row{w.row("history", none, past("A", "T00", importDay.AddDays(1)))},
			"1 done_on: a past visit does not lie in the future",
		},
		{
			"history rewritten", "history",
			[]scheduler.Row{w.row("history", none, past("H0", "T00", scheduler.NewDate(2019, 2, 4)))},
			"1 ref: a work record is not rewritten: batch 11 holds other content under this key; take that import back first, or use a new key",
		},
		{
			"crew without depot", "crews",
			[]scheduler.Row{w.row("crews", none, crew("A", f{"depot_ref": "nowhere"}))},
			"1 depot_ref: a crew starts at a depot that has been imported",
		},
		{
			"unknown skill", "crews",
			[]scheduler.Row{w.row("crews", none, crew("A", f{"skills": "ground flying"}))},
			"1 skills: a skill is one of ground, lift, line_clearance",
		},
		{
			"bad tickets", "crews",
			[]scheduler.Row{w.row("crews", none, crew("A", f{"tickets": "lift=2027-02-30; first aid"}))},
			"1 tickets: a ticket is written name=YYYY-MM-DD with a day that exists, several parted by semicolons\n" +
				"1 tickets: a ticket is written name=YYYY-MM-DD with a day that exists, several parted by semicolons",
		},
		{"short street", "streets", []scheduler.Row{w.row("streets", line(0, 0, 0.5, 0), f{"ref": "A", "class": "alley"})}, "1 position: a block is at least 1 m long"},
		{"street on one point", "streets", []scheduler.Row{w.row("streets", line(0, 0, 0, 0), f{"ref": "A", "class": "alley"})}, "1 position: a block is at least 1 m long"},
		{
			"street there and back", "streets",
			[]scheduler.Row{w.row("streets", line(0, 0, 50, 0, 0, 0), f{"ref": "A", "class": "alley"})},
			"1 position: a block does not run back over itself",
		},
		{"closed loop", "streets", []scheduler.Row{w.row("streets", line(0, 0, 50, 0, 50, 50, 0, 0), f{"ref": "A", "class": "alley"})}, ""},
		{"bow-tie made valid", "districts", []scheduler.Row{w.row("districts", geo.NewArea(utm16, [][]geo.Point{{at(0, 0), at(9, 9), at(9, 0), at(0, 9), at(0, 0)}}), f{"ref": "A", "name": "A"})}, ""},
		{
			"flat district", "districts",
			[]scheduler.Row{w.row("districts", geo.NewArea(utm16, [][]geo.Point{{at(0, 0), at(9, 9), at(4, 4), at(0, 0)}}), f{"ref": "A", "name": "A"})},
			"1 position: the shape is not usable: this layer wants a multipolygon",
		},
	} {
		for i := range c.rows {
			c.rows[i].Line = i + 1
		}
		id, _, diff := w.check(c.layer, c.rows)
		if d := cmp.Diff(c.want, faults(diff.Faults)); d != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, d)
		}
		if err := w.DiscardBatch(t.Context(), id, clerk); err != nil {
			t.Errorf("%s: discard: %v", c.name, err)
		}
	}
	if got := w.one("SELECT (SELECT count(*) FROM stage_trees), (SELECT count(*) FROM stage_key), (SELECT count(*) FROM stage_fault)"); got != "0 0 0" {
		t.Errorf("discarded batches left %s rows in the stage", got)
	}
}

func TestFirstFileOfACityHasAMiddle(t *testing.T) {
	w := newTown(t)
	rows := []scheduler.Row{w.row("trees", lonLat(40.09, -85.2), f{"ref": "X", "species": "ACRU"})}
	for i := range 5 {
		rows = append(rows, w.row("trees", lonLat(-85.2+float64(i)/1000, 40.09), f{"ref": string(rune('A' + i)), "species": "ACRU"}))
	}
	_, _, diff := w.check("trees", rows)
	want := "1 position: a position lies within 150 km of the rest of the city; latitude and longitude look swapped"
	if got := faults(diff.Faults); got != want || diff.New != 5 {
		t.Errorf("got %q and %d new, want %q and 5", got, diff.New, want)
	}
}
