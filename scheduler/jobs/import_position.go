package jobs

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"limbround/geo"
	"limbround/geo/file"
	"limbround/scheduler"
)

// position decides which columns hold the position of a point.
func (p *plan) position(m *mapping, columns []string, fixed, shapes bool) error {
	if p.layer.Geometry == scheduler.GeometryNone {
		if m.Position != nil {
			return fmt.Errorf("position: layer %s has no position", p.layer.Name)
		}
		return nil
	}
	if m.Position != nil {
		if p.layer.Geometry != scheduler.GeometryPoint {
			return fmt.Errorf("position: layer %s holds %ss; its shapes come from GeoJSON or a street extract", p.layer.Name, p.layer.Geometry)
		}
		for _, c := range []string{m.Position.X, m.Position.Y} {
			if fixed && !containsFold(columns, c) {
				return fmt.Errorf("position: the file has no column %q; it has %s", c, strings.Join(columns, ", "))
			}
		}
		p.x, p.y = m.Position.X, m.Position.Y
		return nil
	}
	if shapes {
		return nil
	}
	if p.layer.Geometry != scheduler.GeometryPoint {
		return fmt.Errorf("layer %s holds %ss, which a table of text cannot carry; use GeoJSON", p.layer.Name, p.layer.Geometry)
	}
	p.x, p.y = lonLatColumns(columns)
	switch {
	case p.x == "" || p.y == "":
		return errors.New(`no columns hold the position; name them in a mapping ("position: {x: ..., y: ...}" and "crs:")`)
	case p.srid != 4326:
		return errors.New(`"crs" states a projected system, but "position" does not name its columns`)
	}
	return nil
}

// lonLatColumns finds the columns that are named longitude and latitude.
func lonLatColumns(columns []string) (lon, lat string) {
	for _, c := range columns {
		switch strings.ToLower(strings.TrimSpace(c)) {
		case "lon", "lng", "long", "longitude":
			lon = c
		case "lat", "latitude":
			lat = c
		}
	}
	return lon, lat
}

// shape is the row's shape: from its own geometry or from the position columns.
func (p *plan) shape(f *file.Feature) (geo.Shape, []scheduler.Fault) {
	if p.x == "" {
		return f.Shape, nil
	}
	rx, ry := f.Value(p.x), f.Value(p.y)
	if strings.TrimSpace(rx) == "" || strings.TrimSpace(ry) == "" {
		return geo.Shape{}, nil
	}
	x, errX := parseNumber(rx, p.comma)
	y, errY := parseNumber(ry, p.comma)
	var faults []scheduler.Fault
	if errX != nil {
		faults = append(faults, scheduler.Fault{Line: f.Line, Field: p.x, Value: rx, Rule: errX.Error()})
	}
	if errY != nil {
		faults = append(faults, scheduler.Fault{Line: f.Line, Field: p.y, Value: ry, Rule: errY.Error()})
	}
	if faults != nil {
		return geo.Shape{}, faults
	}
	return geo.NewPoint(p.srid, geo.Point{X: x, Y: y}), nil
}

// kindWanted is the shape kind of a layer.
var kindWanted = map[scheduler.GeometryKind]geo.ShapeKind{
	scheduler.GeometryPoint: geo.ShapePoint, scheduler.GeometryLine: geo.ShapeLine, scheduler.GeometryArea: geo.ShapeArea,
}

// middle is the middle of a file's positions. A row far away from it is wrong:
// one digit lost, another city, longitude and latitude swapped.
type middle struct {
	at   geo.Point
	ok   bool
	srid int
}

// A city's rows lie within 200 km of their middle.
const farMetres = 200_000

// middleOf is the median of at least five positions of the sample.
func (p *plan) middleOf(sample []file.Feature) middle {
	var xs, ys []float64
	for i := range sample {
		s, _ := p.shape(&sample[i])
		if pts := s.Points(); len(pts) > 0 && p.checkPoint(pts[0], middle{}) == "" {
			xs, ys = append(xs, pts[0].X), append(ys, pts[0].Y)
		}
	}
	if len(xs) == 0 {
		return middle{srid: p.srid}
	}
	slices.Sort(xs)
	slices.Sort(ys)
	return middle{geo.Point{X: xs[len(xs)/2], Y: ys[len(ys)/2]}, len(xs) >= 5, p.srid}
}

func (m middle) distance(q geo.Point) float64 {
	if m.srid != 4326 {
		return m.at.Distance(q)
	}
	const perDegree = 111_195 // mean metres of a degree of latitude
	return math.Hypot((q.X-m.at.X)*math.Cos(m.at.Y*math.Pi/180), q.Y-m.at.Y) * perDegree
}

// checkShape returns the rule that the row's shape breaks, or nothing.
func (p *plan) checkShape(s geo.Shape, mid middle) (value, rule string) {
	want := kindWanted[p.layer.Geometry]
	switch {
	case want == geo.ShapeEmpty:
		return "", ""
	case s.Empty():
		return "", "the row has no position"
	case s.Kind() != want:
		return string(s.Kind()), fmt.Sprintf("layer %s holds %ss", p.layer.Name, want)
	}
	for _, q := range s.Points() {
		if rule := p.checkPoint(q, mid); rule != "" {
			return fmt.Sprintf("%g %g", q.X, q.Y), rule
		}
	}
	return "", ""
}

func (p *plan) checkPoint(q geo.Point, mid middle) string {
	switch {
	case math.IsNaN(q.X) || math.IsNaN(q.Y) || math.IsInf(q.X, 0) || math.IsInf(q.Y, 0):
		return "the position is not a number"
	case q == geo.Point{}:
		return "the position is 0, 0: nobody recorded one"
	case p.srid != 4326 && math.Abs(q.X) <= 180 && math.Abs(q.Y) <= 90:
		return fmt.Sprintf("the position looks like longitude and latitude, but the mapping says crs %d", p.srid)
	case p.srid != 4326 && (math.Abs(q.X) > 4e7 || math.Abs(q.Y) > 4e7):
		return "the position lies outside every projected system"
	case p.srid == 4326 && (math.Abs(q.X) > 180 || math.Abs(q.Y) > 90):
		if math.Abs(q.Y) <= 180 && math.Abs(q.X) <= 90 {
			return "the position is out of range; longitude and latitude look swapped"
		}
		return "longitude must be within 180 and latitude within 90 degrees; a projected file needs crs in a mapping"
	}
	if !mid.ok {
		return ""
	}
	if d := mid.distance(q); d > farMetres {
		if mid.distance(geo.Point{X: q.Y, Y: q.X}) < farMetres {
			return "x and y (longitude and latitude) look swapped: the other way round it lies among the other rows"
		}
		return fmt.Sprintf("the position is %.0f km away from the middle of the file", d/1000)
	}
	return ""
}
