package jobs

import (
	"math"
	"strings"
	"testing"

	"limbround/scheduler"
)

func TestMappingErrorsNameTheLine(t *testing.T) {
	for name, tc := range map[string]struct{ text, want string }{
		"unknown name":  {"layer: trees\ncolums: {}\n", "[2:1] unknown field"},
		"nested":        {"layer: trees\ncolumns:\n  ref:\n    form: X\n", "[4:5] unknown field"},
		"wrong type":    {"crs: north\n", "[1:6]"},
		"syntax":        {"a: [1\n", "[1:"},
		"twice":         {"crs: 1\ncrs: 2\n", "[2:1]"},
		"delimiter":     {"layer: trees\nformat:\n  delimiter: x\n", `line 3: delimiter "x"`},
		"encoding":      {"format: {encoding: latin9}\n", `line 1: encoding "latin9"`},
		"dates":         {"format:\n  dates: dym\n", `line 2: dates "dym"`},
		"from or const": {"columns:\n  ref: {from: A}\n  owner: {}\n", "line 3: owner needs either from or const"},
		"both":          {"columns:\n  owner: {from: A, const: city}\n", "line 2: owner needs either"},
		"half position": {"position: {x: A}\n", "line 1: position needs"},
		"from":          {"columns:\n  ref: {from: {a: b}}\n", "from must be a column name or a list"},
		"crs":           {"crs: -4\n", "EPSG"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := parseMapping([]byte(tc.text))
			if err == nil || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("got %v, want %q", err, tc.want)
			}
		})
	}
}

func TestMappingScalars(t *testing.T) {
	m, err := parseMapping([]byte("columns:\n  ref: {from: 12}\n  stems: {const: 3}\n  state: {from: [A, B], values: {1: alive, yes: dead, \"*\": vacant}}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if c := m.Columns["ref"]; len(c.From) != 1 || c.From[0] != "12" {
		t.Errorf("%+v", c)
	}
	if c := m.Columns["stems"]; c.Const == nil || *c.Const != "3" {
		t.Errorf("%+v", c)
	}
	if c := m.Columns["state"]; len(c.From) != 2 || c.Values["1"] != "alive" || c.Values["yes"] != "dead" || c.Values["*"] != "vacant" {
		t.Errorf("%+v", c)
	}
}

func TestPlanRefuses(t *testing.T) {
	for name, tc := range map[string]struct{ layer, text, want string }{
		"field":    {"trees", "columns: {refs: {from: A}}", `has no field "refs"`},
		"column":   {"trees", "columns: {ref: {from: C}}", `column "C", which the file does not have`},
		"unit":     {"trees", "columns: {ref: {from: A}, dbh: {from: B}}", `dbh needs the unit of column "B"`},
		"bad unit": {"trees", "columns: {ref: {from: A}, dbh: {from: B, unit: yards}}", `unit "yards" is not one of`},
		"no unit":  {"trees", "columns: {ref: {from: A, unit: mm}}", "field ref has no unit"},
		"twice":    {"trees", "columns: {dbh: {from: A, unit: mm}, dbh_mm: {from: B, unit: mm}}", "dbh_mm is given twice"},
		"position": {"trees", "columns: {ref: {from: A}}\nposition: {x: B, y: C}", `no column "C"`},
		"lines":    {"walks", "columns: {ref: {from: A}}\nposition: {x: A, y: B}", "layer walks holds lines"},
		"none":     {"crews", "columns: {ref: {from: A}}\nposition: {x: A, y: B}", "layer crews has no position"},
		"required": {"signs", "columns: {ref: {from: A}}\nposition: {x: A, y: B}", "required field kind"},
	} {
		t.Run(name, func(t *testing.T) {
			m, err := parseMapping([]byte(tc.text))
			if err != nil {
				t.Fatal(err)
			}
			layer, _ := scheduler.LayerNamed(tc.layer)
			if _, err := newPlan(m, layer, []string{"A", "B"}, true, false); err == nil || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("got %v, want %q", err, tc.want)
			}
		})
	}
}

// A column's own name tells its unit: the field's name is millimetres, the
// name without a unit is the layer's unit, and a suffix is what it says.
func TestPlanBindsByName(t *testing.T) {
	trees, _ := scheduler.LayerNamed("trees")
	streets, _ := scheduler.LayerNamed("streets")
	for _, tc := range []struct {
		layer         scheduler.Layer
		column, field string
		factor        float64
	}{
		{trees, "dbh_mm", "dbh_mm", 1},
		{trees, "DBH", "dbh_mm", 10},
		{trees, "dbh_in", "dbh_mm", 25.4},
		{trees, "dbh_cm", "dbh_mm", 10},
		{trees, "height", "height_mm", 1000},
		{trees, "height_ft", "height_mm", 304.8},
		{trees, "stems", "stems", 1},
		{streets, "speed_kmh", "speed_kmh", 1},
		{streets, "speed", "speed_kmh", 1},
		{streets, "speed_mph", "speed_kmh", 1.609344},
		{streets, "max_weight_t", "max_weight_kg", 1000},
	} {
		p := &plan{layer: tc.layer, fields: make([]binding, len(tc.layer.Fields))}
		if err := p.bindByName([]string{"other", tc.column}); err != nil {
			t.Fatal(err)
		}
		b := p.fields[tc.layer.Field(tc.field)]
		if !b.bound() || b.from[0] != tc.column || math.Abs(b.factor-tc.factor) > 1e-12 {
			t.Errorf("%s: %+v, want factor %v", tc.column, b, tc.factor)
		}
	}
}

func FuzzMapping(f *testing.F) {
	for _, s := range []string{
		"layer: trees\ncolumns:\n  ref: {from: [A, B], join: \"-\"}\n  dbh: {from: D, unit: in, values: {1: \"2\"}, empty: [\"0\"]}\n",
		"a: &x [1]\nb: *x\n", "columns: {ref: {const: ~}}", "? a\n: b\n", "- 1\n", "\x00", "format: {dates: mdy}\nposition: {x: A, y: B}\n",
	} {
		f.Add([]byte(s))
	}
	trees, _ := scheduler.LayerNamed("trees")
	f.Fuzz(func(t *testing.T, b []byte) {
		m, err := parseMapping(b)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		p, err := newPlan(m, trees, []string{"A", "B", "D", "lon", "lat"}, true, false)
		if err == nil && !p.fields[trees.Field("ref")].bound() {
			t.Fatal("a plan without its required field")
		}
	})
}
