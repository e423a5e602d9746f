package file

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
)

func square(srid int, x, y, side float64) geo.Shape {
	return geo.NewArea(srid, [][]geo.Point{{{X: x, Y: y}, {X: x, Y: y + side}, {X: x + side, Y: y + side}, {X: x + side, Y: y}, {X: x, Y: y}}})
}

func TestGeoJSONWriterRoundTrip(t *testing.T) {
	columns := []string{"ref", "n", "m", "ok", "none"}
	shapes := []geo.Shape{
		geo.NewPoint(4326, geo.Point{X: -75.12345678, Y: 39.7}),
		geo.NewLine(4326, []geo.Point{{X: 1, Y: 2}, {X: 3.5, Y: -4}}),
		square(4326, 1, 1, 1),
		geo.NewAreas(4326, [][][]geo.Point{square(4326, 0, 0, 1).Parts()[0], square(4326, 5, 5, 1).Parts()[0]}),
		{},
	}
	var b strings.Builder
	w := NewGeoJSONWriter(&b)
	for i, s := range shapes {
		if err := w.Write(columns, []any{"r\"" + string(rune('a'+i)), int64(i), 1.25, true, nil}, s); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if !json.Valid([]byte(b.String())) {
		t.Fatalf("not JSON: %s", b.String())
	}
	fs := mustAll(t, write(t, "t.geojson", b.String()), Options{})
	if len(fs) != len(shapes) {
		t.Fatalf("%d features, want %d", len(fs), len(shapes))
	}
	for i, f := range fs {
		want := []string{"r\"" + string(rune('a'+i)), string(rune('0' + i)), "1.25", "true", ""}
		if d := cmp.Diff(want, f.Values); d != "" || len(f.Problems) > 0 {
			t.Error(d, f.Problems)
		}
		if f.Shape.Kind() != shapes[i].Kind() || len(f.Shape.Points()) != len(shapes[i].Points()) {
			t.Errorf("shape %d: %v", i, f.Shape)
		}
	}
	if p := fs[0].Shape.Points()[0]; math.Abs(p.X+75.1234568) > 1e-12 {
		t.Errorf("position %v is not rounded to 1e-7 degrees", p)
	}
	if area2(fs[2].Shape.Points()) <= 0 {
		t.Error("the outer ring does not run counterclockwise")
	}
}

func TestGeoJSONWriterEmptyAndErrors(t *testing.T) {
	var b strings.Builder
	w := NewGeoJSONWriter(&b)
	if err := w.Write([]string{"a"}, []any{1, 2}, geo.Shape{}); err == nil {
		t.Error("two values for one column were accepted")
	}
	if err := w.Write([]string{"a"}, []any{math.NaN()}, geo.Shape{}); err == nil {
		t.Error("NaN was accepted")
	}
	if err := w.Write([]string{"a"}, []any{[]int{1}}, geo.Shape{}); err == nil {
		t.Error("a slice was accepted")
	}
	if err := w.Write([]string{"a"}, []any{1}, geo.NewPoint(32618, geo.Point{X: 1, Y: 2})); err == nil || !strings.Contains(err.Error(), "32618") {
		t.Errorf("a projected shape: %v", err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if fs := mustAll(t, write(t, "t.geojson", b.String()), Options{}); len(fs) != 0 {
		t.Errorf("%d features in an empty collection", len(fs))
	}
}

func TestCSVWriterRoundTrip(t *testing.T) {
	var b strings.Builder
	w := NewCSVWriter(&b, []string{"a", "b", "c", "d", "e"})
	if err := w.Write([]any{"x, \"y\"\nz", int64(7), 0.1, false, nil}); err != nil {
		t.Fatal(err)
	}
	if err := w.Write([]any{1}); err == nil {
		t.Error("one value for five columns was accepted")
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	fs := mustAll(t, write(t, "t.csv", b.String()), Options{})
	if d := cmp.Diff([]string{"x, \"y\"\nz", "7", "0.1", "false", ""}, fs[0].Values); d != "" {
		t.Error(d)
	}
}

func TestFeatureJSONKeepsEverything(t *testing.T) {
	f := Feature{Columns: []string{"a"}, Values: []string{"1", "left over"}, Shape: geo.NewPoint(4326, geo.Point{X: 1, Y: 2})}
	const want = `{"a":"1","column 2":"left over","geometry":{"type":"Point","coordinates":[1,2]}}`
	if got := string(f.JSON()); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got := string((&Feature{}).JSON()); got != "{}" {
		t.Errorf("an empty feature is %s", got)
	}
}
