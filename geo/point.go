package geo

import "math"

// Point is a position in a metric coordinate system (metres east and north),
// or longitude and latitude in degrees when its SRID says so. The zero Point is
// invalid, so that a missing position can never pass for a real one.
type Point struct {
	X, Y float64
}

// Valid reports whether p is a usable position: finite and not the zero Point.
func (p Point) Valid() bool {
	return p != (Point{}) && !math.IsNaN(p.X) && !math.IsNaN(p.Y) && !math.IsInf(p.X, 0) && !math.IsInf(p.Y, 0)
}

// Distance is the straight-line distance to q in the units of the coordinates.
func (p Point) Distance(q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// Add is the vector sum of p and q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub is the vector from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Scale is p multiplied by f.
func (p Point) Scale(f float64) Point { return Point{p.X * f, p.Y * f} }
