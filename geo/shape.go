package geo

import "github.com/twpayne/go-geom"

// Shape is a point, a line or an area in a stated coordinate system. It hides
// the geometry library from the packages that only carry shapes from a file to
// the database. The zero Shape is empty.
type Shape struct {
	g    geom.T
	srid int
}

// NewPoint returns a point shape.
func NewPoint(srid int, p Point) Shape {
	return Shape{geom.NewPointFlat(geom.XY, []float64{p.X, p.Y}).SetSRID(srid), srid}
}

// NewLine returns a line through the given points, at least two.
func NewLine(srid int, pts []Point) Shape {
	return Shape{geom.NewLineStringFlat(geom.XY, flatten(pts)).SetSRID(srid), srid}
}

// NewArea returns an area: outer ring first, holes after it. Each ring is
// closed (last point equals the first).
func NewArea(srid int, rings [][]Point) Shape {
	return NewAreas(srid, [][][]Point{rings})
}

// NewAreas returns an area of several parts, each an outer ring with its holes.
func NewAreas(srid int, parts [][][]Point) Shape {
	mp := geom.NewMultiPolygon(geom.XY)
	for _, rings := range parts {
		var flat []float64
		var ends []int
		for _, r := range rings {
			flat = append(flat, flatten(r)...)
			ends = append(ends, len(flat))
		}
		if err := mp.Push(geom.NewPolygonFlat(geom.XY, flat, ends)); err != nil {
			return Shape{}
		}
	}
	return Shape{mp.SetSRID(srid), srid}
}

func flatten(pts []Point) []float64 {
	flat := make([]float64, 0, 2*len(pts))
	for _, p := range pts {
		flat = append(flat, p.X, p.Y)
	}
	return flat
}

// Empty reports whether the shape holds nothing.
func (s Shape) Empty() bool { return s.g == nil || s.g.Empty() }

// SRID is the EPSG code of the coordinates.
func (s Shape) SRID() int { return s.srid }

// Points returns all vertices in order; rings and parts run together.
func (s Shape) Points() []Point {
	if s.g == nil {
		return nil
	}
	flat := s.g.FlatCoords()
	stride := s.g.Stride()
	pts := make([]Point, 0, len(flat)/stride)
	for i := 0; i+1 < len(flat); i += stride {
		pts = append(pts, Point{flat[i], flat[i+1]})
	}
	return pts
}
