package geo

import "github.com/twpayne/go-geom"

// ShapeKind is the dimension of a shape.
type ShapeKind string

// The shape kinds. ShapeOther is a geometry no layer uses, for example a line
// in several parts.
const (
	ShapeEmpty ShapeKind = ""
	ShapePoint ShapeKind = "point"
	ShapeLine  ShapeKind = "line"
	ShapeArea  ShapeKind = "area"
	ShapeOther ShapeKind = "other"
)

// Kind says whether the shape is a point, a line or an area.
func (s Shape) Kind() ShapeKind {
	if s.Empty() {
		return ShapeEmpty
	}
	switch s.g.(type) {
	case *geom.Point:
		return ShapePoint
	case *geom.LineString:
		return ShapeLine
	case *geom.Polygon, *geom.MultiPolygon:
		return ShapeArea
	}
	return ShapeOther
}

// Parts returns the rings of an area, part by part: in each part the outer
// ring first, then its holes. It is nil for every other kind.
func (s Shape) Parts() [][][]Point {
	switch g := s.g.(type) {
	case *geom.Polygon:
		return [][][]Point{rings(g)}
	case *geom.MultiPolygon:
		parts := make([][][]Point, g.NumPolygons())
		for i := range parts {
			parts[i] = rings(g.Polygon(i))
		}
		return parts
	}
	return nil
}

func rings(p *geom.Polygon) [][]Point {
	out := make([][]Point, p.NumLinearRings())
	for i := range out {
		for _, c := range p.LinearRing(i).Coords() {
			out[i] = append(out[i], Point{c[0], c[1]})
		}
	}
	return out
}
