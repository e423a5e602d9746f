package jobs

import (
	"strings"
	"testing"

	"limbround/scheduler"
)

func propose(t *testing.T, layer, path string) string {
	t.Helper()
	var b strings.Builder
	if err := Propose(&b, layer, path, testToday); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestProposeDrafts(t *testing.T) {
	for file, layer := range map[string]string{
		"trees_messy.csv": "trees", "trees_cp1252.csv": "trees", "trees.geojson": "trees", "history.csv": "history", "streets.osm": "streets",
	} {
		t.Run(file, func(t *testing.T) {
			text := propose(t, layer, samples+file)
			if _, err := parseMapping([]byte(text)); err != nil {
				t.Errorf("the draft is no mapping: %v\n%s", err, text)
			}
			golden(t, strings.NewReplacer(".", "_").Replace(file)+".draft.golden.yaml", text)
		})
	}
}

// The draft of a file with the fields' own names works as it is.
func TestProposeOwnNamesImport(t *testing.T) {
	text := propose(t, "trees", samples+"trees_plain.csv")
	m, err := parseMapping([]byte(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	trees, _ := scheduler.LayerNamed("trees")
	s, err := takeSample(samples+"trees_plain.csv", m.options(), sampleSize)
	if err != nil {
		t.Fatal(err)
	}
	p, err := newPlan(m, trees, s.columns, s.fixed, s.shapes)
	if err != nil {
		t.Fatal(err)
	}
	if left := p.ignored(s.columns); len(left) > 0 {
		t.Errorf("the draft leaves out %v\n%s", left, text)
	}
}

func TestProposeFails(t *testing.T) {
	var b strings.Builder
	if err := Propose(&b, "shrubs", "x", testToday); scheduler.KindOf(err) != scheduler.Invalid {
		t.Errorf("an unknown layer: %v", err)
	}
	if err := Propose(&b, "trees", "nowhere.csv", testToday); scheduler.KindOf(err) != scheduler.Invalid || b.Len() > 0 {
		t.Errorf("a missing file: %v, %q", err, b.String())
	}
}

func TestGuessUnits(t *testing.T) {
	trees, _ := scheduler.LayerNamed("trees")
	for _, tc := range []struct {
		field, column string
		ns            []float64
		want          string
	}{
		{"dbh_mm", "DBH", []float64{3, 8, 14}, "in"},
		{"dbh_mm", "DBH", []float64{8, 24, 60}, "cm"},
		{"dbh_mm", "DBH", []float64{80, 240, 600}, "mm"},
		{"dbh_mm", "DBH_IN", []float64{30}, "in"},
		{"dbh_mm", "Stammumfang", []float64{40, 90}, "circumference_cm"},
		{"dbh_mm", "ST_UMFANG", []float64{0.4, 0.9}, "circumference_m"},
		{"height_mm", "HGT", []float64{6, 9, 14}, "m"},
		{"height_mm", "HGT", []float64{15, 30, 60}, "ft"},
		{"height_mm", "HGT", nil, "m"},
	} {
		if got, why := guessUnit(&trees.Fields[trees.Field(tc.field)], tc.column, tc.ns); got != tc.want || why == "" {
			t.Errorf("%s %v: %s (%s), want %s", tc.column, tc.ns, got, why, tc.want)
		}
	}
}

func TestGuessDates(t *testing.T) {
	for _, tc := range []struct {
		in      []string
		want    string
		unclear bool
	}{
		{[]string{"2014-05-03"}, "", false},
		{[]string{"03/04/2014", "31/12/2014"}, "dmy", false},
		{[]string{"03/04/2014", "12/31/2014 12:00:00 AM"}, "mdy", false},
		{[]string{"03/04/2014"}, "", true},
		{[]string{"31/12/2014", "12/31/2014"}, "", true},
		{[]string{"1398902400000"}, "epoch_ms", false},
		{nil, "", false},
	} {
		if got, unclear := guessDates(tc.in); got != tc.want || unclear != tc.unclear {
			t.Errorf("%v: %q, %v", tc.in, got, unclear)
		}
	}
}
