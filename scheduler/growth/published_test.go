package growth

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"limbround/scheduler"
)

func load(t testing.TB) *Model {
	t.Helper()
	m, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func (m *Model) set(t testing.TB, region, name string) *set {
	t.Helper()
	s := find(m.regions[region], func(s *set) bool { return s.name == name })
	if s == nil {
		t.Fatalf("no curves of %s in %s", name, region)
	}
	return s
}

type published struct {
	region, name, predicts string
	x, y                   float64
}

func publishedRanges(t *testing.T) []published {
	t.Helper()
	f, err := os.Open("../../testdata/growth/published_ranges.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []published
	for _, row := range rows[1:] {
		x, err1 := strconv.ParseFloat(row[4], 64)
		y, err2 := strconv.ParseFloat(row[5], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("row %v", row)
		}
		out = append(out, published{row[0], row[1], row[3], x, y})
	}
	return out
}

func (s *set) equation(predicts string) *equation {
	for i, name := range columns[6:] {
		if name == predicts {
			return &s.printed[i]
		}
	}
	return nil
}

// The publication prints the equations' own values at the ends of their
// ranges: all of them must come back from the embedded table.
func TestPrintedEquationsGiveThePublishedRanges(t *testing.T) {
	m := load(t)
	rows := publishedRanges(t)
	if len(rows) != 1829 {
		t.Fatalf("%d published values, want 1829", len(rows))
	}
	for _, row := range rows {
		s := m.set(t, row.region, row.name)
		if got := s.equation(row.predicts).at(row.x); math.Abs(got-row.y) > 0.0101 {
			t.Errorf("%s %s %s at %g: %.4f, published %g", row.region, row.name, row.predicts, row.x, got, row.y)
		}
	}
}

// So must the curve as it is used: restored, made to rise, held at its ends.
func TestCurvesGiveThePublishedRanges(t *testing.T) {
	m := load(t)
	for _, row := range publishedRanges(t) {
		s := m.set(t, row.region, row.name)
		c := Curve{MaxAge: s.maxAge, set: s}
		var got float64
		switch row.predicts {
		case "dbh":
			got, _ = c.DBH(row.x)
		case "height":
			got = c.Height(row.x)
		case "crown":
			got = c.Crown(row.x)
		default: // crown height is used as it is
			continue
		}
		if math.Abs(got-row.y) > 0.0101 {
			t.Errorf("%s %s %s at %g: %.4f, published %g", row.region, row.name, row.predicts, row.x, got, row.y)
		}
	}
}

// Published and worked single values, from the same publication.
func TestKnownValues(t *testing.T) {
	m := load(t)
	for _, tt := range []struct {
		region, name, predicts string
		x, want, within        float64
	}{
		{"CenFla", "Acer rubrum", "dbh", 2, 2.34, 0.005},
		{"CenFla", "Acer rubrum", "dbh", 65, 96.61, 0.005},
		{"CenFla", "Quercus virginiana", "dbh", 3, 2.10, 0.005},
		{"CenFla", "Quercus virginiana", "crown", 194.32, 32.27, 0.005}, // 32.42 with the correction outside the logarithm
		{"NoEast", "Platanus x acerifolia", "crown", 61.76, 14.63, 0.005},
		{"NoEast", "Platanus x acerifolia", "crown_height", 61.76, 12.88, 0.01},
		{"NoEast", "Platanus x acerifolia", "height", 2.4, 4.01, 0.005},
		{"NoEast", "Platanus x acerifolia", "crown", 14.6, 5.46, 0.01}, // 5.8 where sigma/2 is taken for the correction
		{"NMtnPr", "Ulmus americana", "crown_height", 88, 17.8, 0.05},
		{"MidWst", "Gleditsia triacanthos", "dbh", 20, 52.6, 0.05},
		{"MidWst", "Gleditsia triacanthos", "dbh", 30, 30.9, 0.05}, // the bare polynomial turns over: never shown
	} {
		s := m.set(t, tt.region, tt.name)
		if got := s.equation(tt.predicts).at(tt.x); math.Abs(got-tt.want) > tt.within {
			t.Errorf("%s %s %s at %g: %.4f, want %g", tt.region, tt.name, tt.predicts, tt.x, got, tt.want)
		}
	}
}

func TestCurveEndsAtThePublishedRange(t *testing.T) {
	c := load(t).Curve("MidWst", scheduler.Species{Scientific: "Gleditsia triacanthos"})
	if c.MinAge != 1 || c.MaxAge != 21 || c.Fallback != "" {
		t.Fatalf("curve %+v", c)
	}
	for age, want := range map[float64]bool{20: false, 21: false, 21.01: true, 30: true, 500: true} {
		cm, beyond := c.DBH(age)
		if beyond != want {
			t.Errorf("age %g: beyond %t, want %t", age, beyond, want)
		}
		if age >= 21 && math.Abs(cm-53.79) > 0.005 {
			t.Errorf("age %g: dbh %.3f cm, want the published 53.79", age, cm)
		}
	}
	if cm, _ := c.DBH(-3); math.Abs(cm-3.77) > 0.02 {
		t.Errorf("below the range: dbh %.3f cm, want that of the first year", cm)
	}
}
