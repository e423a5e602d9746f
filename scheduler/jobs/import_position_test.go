package jobs

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/geo/file"
	"limbround/scheduler"
)

func TestCheckShape(t *testing.T) {
	trees, _ := scheduler.LayerNamed("trees")
	near := middle{geo.Point{X: -75.5, Y: 39.7}, true, 4326}
	grid := middle{geo.Point{X: 500000, Y: 4400000}, true, 32618}
	for name, tc := range map[string]struct {
		srid int
		p    geo.Point
		mid  middle
		rule string
	}{
		"good":           {4326, geo.Point{X: -75.4, Y: 39.8}, near, ""},
		"zero":           {4326, geo.Point{}, near, "0, 0"},
		"out of range":   {4326, geo.Point{X: 500000, Y: 4400000}, near, "a projected file needs crs"},
		"swapped range":  {4326, geo.Point{X: 39.7, Y: -105}, middle{}, "look swapped"},
		"swapped near":   {4326, geo.Point{X: 39.7, Y: -75.5}, near, "look swapped"},
		"far":            {4326, geo.Point{X: -70, Y: 39.7}, near, "471 km away"},
		"no middle":      {4326, geo.Point{X: -70, Y: 39.7}, middle{}, ""},
		"grid":           {32618, geo.Point{X: 500100, Y: 4400100}, grid, ""},
		"grid degrees":   {32618, geo.Point{X: -75.5, Y: 39.7}, grid, "looks like longitude and latitude"},
		"grid swapped":   {32618, geo.Point{X: 4400100, Y: 500100}, grid, "look swapped"},
		"grid too large": {32618, geo.Point{X: 5e8, Y: 1}, grid, "outside every projected system"},
	} {
		t.Run(name, func(t *testing.T) {
			p := &plan{layer: trees, srid: tc.srid}
			_, rule := p.checkShape(geo.NewPoint(tc.srid, tc.p), tc.mid)
			if (rule == "") != (tc.rule == "") || !strings.Contains(rule, tc.rule) {
				t.Errorf("got %q, want %q", rule, tc.rule)
			}
		})
	}
}

// One wild row in the sample does not move the middle.
func TestMiddleIsAMedian(t *testing.T) {
	trees, _ := scheduler.LayerNamed("trees")
	p := &plan{layer: trees, srid: 4326, x: "lon", y: "lat"}
	var fs []file.Feature
	for _, v := range [][]string{{"39.7", "-75.5"}, {"-75.5", "39.7"}, {"-75.4", "39.8"}, {"-75.6", "39.6"}, {"0", "0"}, {"x", "y"}, {"-75.5", "39.7"}, {"-75.5", "39.7"}} {
		fs = append(fs, file.Feature{Columns: []string{"lon", "lat"}, Values: v})
	}
	if m := p.middleOf(fs); !m.ok || m.at != (geo.Point{X: -75.5, Y: 39.7}) {
		t.Errorf("%+v", m)
	}
	if m := p.middleOf(fs[:3]); m.ok {
		t.Error("three rows are too few for a middle")
	}
}

func TestCitySRID(t *testing.T) {
	for name, tc := range map[string]struct {
		p    plan
		at   geo.Point
		want int
		rule string
	}{
		"west":      {plan{srid: 4326}, geo.Point{X: -75.5, Y: 39.7}, 32618, ""},
		"south":     {plan{srid: 4326}, geo.Point{X: 151.2, Y: -33.9}, 32756, ""},
		"date line": {plan{srid: 4326}, geo.Point{X: 180, Y: 10}, 32660, ""},
		"own":       {plan{srid: 25832}, geo.Point{X: 500000, Y: 5400000}, 25832, ""},
		"stated":    {plan{srid: 2263, cityCRS: 32618}, geo.Point{X: 988000, Y: 210000}, 32618, ""},
		"feet":      {plan{srid: 2263}, geo.Point{X: 988000, Y: 210000}, 0, "crs 2263 is not known to be in metres"},
		"mercator":  {plan{srid: 3857}, geo.Point{X: -8e6, Y: 4e6}, 0, "not known"},
		"nothing":   {plan{srid: 4326}, geo.Point{}, 0, "no row of the file has a usable position"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := citySRID(&tc.p, middle{at: tc.at})
			if got != tc.want || (err == nil) != (tc.rule == "") || err != nil && !strings.Contains(err.Error(), tc.rule) {
				t.Errorf("%d, %v; want %d, %q", got, err, tc.want, tc.rule)
			}
		})
	}
}

func TestTreeRules(t *testing.T) {
	trees, _ := scheduler.LayerNamed("trees")
	for name, tc := range map[string]struct {
		values map[string]any
		rule   string
	}{
		"good":           {map[string]any{"species": "ACRU", "dbh_mm": geo.Length(200), "height_mm": geo.Length(8000)}, ""},
		"no species":     {map[string]any{"dbh_mm": geo.Length(200)}, "a living tree has a species"},
		"vacant":         {map[string]any{"state": "vacant"}, ""},
		"slender":        {map[string]any{"species": "ACRU", "dbh_mm": geo.Length(60), "height_mm": geo.Length(15000)}, "is the dbh in inches"},
		"whip":           {map[string]any{"species": "ACRU", "dbh_mm": geo.Length(8), "height_mm": geo.Length(2000)}, ""},
		"no height":      {map[string]any{"species": "ACRU", "height_mm": geo.Length(0)}, "a living tree has a height"},
		"no dbh":         {map[string]any{"species": "ACRU", "dbh_mm": geo.Length(0)}, "taller than breast height"},
		"seedling":       {map[string]any{"species": "ACRU", "dbh_mm": geo.Length(0), "height_mm": geo.Length(900)}, ""},
		"base above top": {map[string]any{"species": "ACRU", "height_mm": geo.Length(3000), "base_walk_mm": geo.Length(3500)}, "above the top"},
		"measured early": {map[string]any{"species": "ACRU", "planted": scheduler.NewDate(2019, 1, 1), "measured_on": scheduler.NewDate(2018, 1, 1)}, "measured before"},
		"precision none": {map[string]any{"species": "ACRU", "planted": scheduler.NewDate(2019, 1, 1), "planted_precision": "none"}, "known to a day"},
	} {
		t.Run(name, func(t *testing.T) {
			p := &plan{layer: trees, fields: make([]binding, len(trees.Fields))}
			p.fields[trees.Field("species")].from = []string{"species"}
			row := scheduler.Row{Line: 2, Values: make([]any, len(trees.Fields))}
			for k, v := range tc.values {
				row.Values[trees.Field(k)] = v
			}
			faults := treeRules(p, &row, nil)
			if tc.rule == "" && len(faults) != 0 || tc.rule != "" && (len(faults) != 1 || !strings.Contains(faults[0].Rule, tc.rule)) {
				t.Errorf("got %v, want %q", faults, tc.rule)
			}
		})
	}
}
