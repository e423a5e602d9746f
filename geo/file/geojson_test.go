package file

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
)

const onePoint = `{"type":"Feature","properties":{"a":1.50,"b":"x\u00e9\"y","c":null,"d":true,"e":{"z":[1, 2]}},"geometry":{"type":"Point","coordinates":[-75.5,39.7,12]}}`

func TestGeoJSONForms(t *testing.T) {
	want := Feature{
		Line: 1, Columns: []string{"a", "b", "c", "d", "e"},
		Values: []string{"1.50", "xé\"y", "", "true", `{"z":[1,2]}`},
	}
	pretty := strings.NewReplacer(",", " ,\n ", ":{", ": {\n").Replace(onePoint)
	for name, text := range map[string]string{
		"collection":      `{"type":"FeatureCollection","features":[` + onePoint + `]}`,
		"members before":  `{"name":"x","big":{"features":[1,{"a":[]}]},"type":"FeatureCollection","features":[` + onePoint + `],"bbox":[1,2,3,4]}`,
		"type after":      `{"features":[` + onePoint + `],"type":"FeatureCollection"}`,
		"one feature":     pretty,
		"lines":           onePoint + "\n\n" + onePoint + "\n",
		"record marks":    "\x1e" + onePoint + "\n\x1e" + onePoint + "\n",
		"byte order mark": "\ufeff" + `{"type":"FeatureCollection","features":[` + onePoint + `]}`,
		"old crs member":  `{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:OGC:1.3:CRS84"}},"features":[` + onePoint + `]}`,
	} {
		t.Run(name, func(t *testing.T) {
			fs := mustAll(t, write(t, "t.geojson", text), Options{})
			if len(fs) == 0 {
				t.Fatal("no feature")
			}
			got := fs[0]
			if pts := got.Shape.Points(); len(pts) != 1 || pts[0] != (geo.Point{X: -75.5, Y: 39.7}) || got.Shape.SRID() != 4326 {
				t.Errorf("shape %v in %d", pts, got.Shape.SRID())
			}
			got.Shape = geo.Shape{}
			if name != "one feature" {
				if d := cmp.Diff(want, got, cmp.Comparer(func(a, b geo.Shape) bool { return a.Empty() == b.Empty() })); d != "" {
					t.Error(d)
				}
			}
			if len(fs) == 2 && (&fs[0].Columns[0] != &fs[1].Columns[0] || fs[1].Line != 2) {
				t.Error("equal columns are not shared, or the second feature has the wrong number")
			}
		})
	}
}

func feature(geometry string) string {
	return `{"type":"Feature","properties":{"ref":"1"},"geometry":` + geometry + `}`
}

func TestGeoJSONGeometry(t *testing.T) {
	for name, tc := range map[string]struct {
		geometry string
		kind     geo.ShapeKind
		problem  string
	}{
		"null":            {`null`, geo.ShapeEmpty, ""},
		"point":           {`{"type":"Point","coordinates":[1,2]}`, geo.ShapePoint, ""},
		"multi of one":    {`{"type":"MultiPoint","coordinates":[[1,2]]}`, geo.ShapePoint, ""},
		"line":            {`{"type":"LineString","coordinates":[[1,2],[3,4]]}`, geo.ShapeLine, ""},
		"one part":        {`{"type":"MultiLineString","coordinates":[[[1,2],[3,4]]]}`, geo.ShapeLine, ""},
		"two parts":       {`{"type":"MultiLineString","coordinates":[[[1,2],[3,4]],[[5,6],[7,8]]]}`, "", "a line in 2 parts"},
		"area":            {`{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]}`, geo.ShapeArea, ""},
		"areas":           {`{"type":"MultiPolygon","coordinates":[[[[0,0],[1,0],[1,1],[0,0]]],[[[5,5],[6,5],[6,6],[5,5]]]]}`, geo.ShapeArea, ""},
		"collection":      {`{"type":"GeometryCollection","geometries":[]}`, "", `type "GeometryCollection"`},
		"one number":      {`{"type":"Point","coordinates":[1]}`, "", "a position has 1 numbers"},
		"text":            {`{"type":"Point","coordinates":["1","2"]}`, "", "no number"},
		"wrong nesting":   {`{"type":"LineString","coordinates":[1,2]}`, "", "not nested"},
		"short line":      {`{"type":"LineString","coordinates":[[1,2]]}`, "", "needs two"},
		"open ring":       {`{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,1]]]}`, "", "not closed"},
		"short ring":      {`{"type":"Polygon","coordinates":[[[0,0],[1,0],[0,0]]]}`, "", "needs four"},
		"no ring":         {`{"type":"Polygon","coordinates":[]}`, "", "no ring"},
		"no part":         {`{"type":"MultiPolygon","coordinates":[]}`, "", "no part"},
		"no type":         {`{"coordinates":[1,2]}`, "", "no type"},
		"a string":        {`"POINT(1 2)"`, "", "not a GeoJSON geometry"},
		"no coordinates":  {`{"type":"Point"}`, "", "not nested"},
		"null position":   {`{"type":"LineString","coordinates":[null,[1,2]]}`, "", "0 numbers"},
		"number too long": {`{"type":"Point","coordinates":[1e999,2]}`, "", "no number"},
	} {
		t.Run(name, func(t *testing.T) {
			fs := mustAll(t, write(t, "t.geojsonl", feature(tc.geometry)+"\n"+feature(`null`)), Options{})
			if len(fs) != 2 {
				t.Fatalf("%d features, want 2", len(fs))
			}
			switch f := fs[0]; {
			case tc.problem == "" && (len(f.Problems) > 0 || f.Shape.Kind() != tc.kind):
				t.Errorf("kind %q, problems %v", f.Shape.Kind(), f.Problems)
			case tc.problem != "" && (len(f.Problems) != 1 || !strings.Contains(f.Problems[0].Rule, tc.problem)):
				t.Errorf("problems %v, want %q", f.Problems, tc.problem)
			}
		})
	}
}

func TestGeoJSONBroken(t *testing.T) {
	for name, tc := range map[string]struct {
		text, want string
		before     int // features read before the error
	}{
		"cut off":      {`{"type":"FeatureCollection","features":[` + onePoint + `,{"type":"Fea`, "feature 2: the file ends in the middle", 1},
		"not closed":   {`{"type":"FeatureCollection","features":[` + onePoint, "ends in the middle", 1},
		"array":        {`[1,2]`, "must start with an object", 0},
		"topology":     {`{"type":"Topology","objects":{}}`, `the file is a "Topology"`, 0},
		"features odd": {`{"type":"FeatureCollection","features":{}}`, "must be an array", 0},
		"other crs":    {`{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::25832"}},"features":[]}`, "another coordinate system", 0},
		"late crs":     {`{"type":"FeatureCollection","features":[` + onePoint + `],"crs":{"properties":{"name":"EPSG:25832"}}}`, "another coordinate system", 1},
	} {
		t.Run(name, func(t *testing.T) {
			fs, err := all(t, write(t, "t.geojson", tc.text), Options{})
			if err == nil || !strings.Contains(err.Error(), tc.want) || len(fs) != tc.before {
				t.Errorf("%d features, then %v; want %d, then %q", len(fs), err, tc.before, tc.want)
			}
		})
	}
	fs := mustAll(t, write(t, "t.geojsonl", onePoint+"\n{broken\n"+onePoint+"\n"), Options{})
	if len(fs) != 3 || len(fs[1].Problems) != 1 || len(fs[2].Problems) != 0 || fs[1].Values[0] != "{broken" {
		t.Errorf("a broken line must cost itself only: %v", fs)
	}
	stated := mustAll(t, write(t, "t.geojson", `{"type":"FeatureCollection","crs":{"properties":{"name":"EPSG:25832"}},"features":[`+feature(`{"type":"Point","coordinates":[500000,5400000]}`)+`]}`), Options{SRID: 25832})
	if stated[0].Shape.SRID() != 25832 {
		t.Errorf("SRID %d, want the stated 25832", stated[0].Shape.SRID())
	}
}
