package file

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"limbround/geo"
)

// GeoJSONWriter writes a FeatureCollection (RFC 7946), one feature a line,
// without ever holding more than one feature. Positions are longitude and
// latitude, rounded to 1e-7 degrees (about a centimetre).
type GeoJSONWriter struct {
	w   *bufio.Writer
	buf []byte
	n   int
}

// NewGeoJSONWriter starts a collection on w. Call Close at the end.
func NewGeoJSONWriter(w io.Writer) *GeoJSONWriter {
	return &GeoJSONWriter{w: bufio.NewWriterSize(w, 1<<16)}
}

// Write adds one feature. Values stand in the order of columns and may be
// string, int, int64, float64, bool, nil or a fmt.Stringer. The shape must be
// in SRID 4326, which is the only system RFC 7946 has; an empty shape is
// written as a null geometry.
func (g *GeoJSONWriter) Write(columns []string, values []any, s geo.Shape) error {
	if len(values) != len(columns) {
		return fmt.Errorf("write geojson: %d values for %d columns", len(values), len(columns))
	}
	b := append(g.buf[:0], g.lead()...)
	b = append(b, `{"type":"Feature","properties":{`...)
	for i, v := range values {
		if i > 0 {
			b = append(b, ',')
		}
		var err error
		if b, err = appendJSON(append(appendString(b, columns[i]), ':'), v); err != nil {
			return fmt.Errorf("write geojson: column %q: %w", columns[i], err)
		}
	}
	b = append(b, `},"geometry":`...)
	b, err := appendGeometry(b, s)
	if err != nil {
		return fmt.Errorf("write geojson: %w", err)
	}
	g.buf = append(b, '}')
	g.n++
	if _, err := g.w.Write(g.buf); err != nil {
		return fmt.Errorf("write geojson: %w", err)
	}
	return nil
}

// Close ends the collection and flushes. It does not close the underlying writer.
func (g *GeoJSONWriter) Close() error {
	end := "\n]}\n"
	if g.n == 0 {
		end = g.lead() + end[1:]
	}
	if _, err := g.w.WriteString(end); err != nil {
		return fmt.Errorf("write geojson: %w", err)
	}
	if err := g.w.Flush(); err != nil {
		return fmt.Errorf("write geojson: %w", err)
	}
	return nil
}

func (g *GeoJSONWriter) lead() string {
	if g.n == 0 {
		return "{\"type\":\"FeatureCollection\",\"features\":[\n"
	}
	return ",\n"
}

func appendString(b []byte, s string) []byte {
	q, err := json.Marshal(s)
	if err != nil {
		return append(b, `""`...) // a string always marshals
	}
	return append(b, q...)
}

func appendJSON(b []byte, v any) ([]byte, error) {
	switch v := v.(type) {
	case nil:
		return append(b, "null"...), nil
	case string:
		return appendString(b, v), nil
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return b, fmt.Errorf("%v is not a JSON number", v)
		}
		return strconv.AppendFloat(b, v, 'f', -1, 64), nil
	case int, int64, bool:
		s, err := text(v)
		return append(b, s...), err
	}
	s, err := text(v)
	return appendString(b, s), err
}

func appendGeometry(b []byte, s geo.Shape) ([]byte, error) {
	if s.Kind() != geo.ShapeEmpty && s.SRID() != 4326 {
		return b, fmt.Errorf("shape has SRID %d, GeoJSON wants 4326", s.SRID())
	}
	switch s.Kind() {
	case geo.ShapeEmpty:
		return append(b, "null"...), nil
	case geo.ShapePoint:
		b = append(b, `{"type":"Point","coordinates":`...)
		b = appendPosition(b, s.Points()[0])
	case geo.ShapeLine:
		b = append(b, `{"type":"LineString","coordinates":`...)
		b = appendPositions(b, s.Points())
	case geo.ShapeArea:
		parts := s.Parts()
		if len(parts) == 1 {
			b = append(b, `{"type":"Polygon","coordinates":`...)
			b = appendRings(b, parts[0])
			break
		}
		b = append(b, `{"type":"MultiPolygon","coordinates":[`...)
		for i, p := range parts {
			if i > 0 {
				b = append(b, ',')
			}
			b = appendRings(b, p)
		}
		b = append(b, ']')
	default:
		return b, fmt.Errorf("shape is not a point, a line or an area")
	}
	return append(b, '}'), nil
}

// appendRings writes the outer ring counterclockwise and holes clockwise, as
// RFC 7946 section 3.1.6 asks.
func appendRings(b []byte, rings [][]geo.Point) []byte {
	b = append(b, '[')
	for i, r := range rings {
		if i > 0 {
			b = append(b, ',')
		}
		if (area2(r) > 0) != (i == 0) {
			r = slices.Clone(r)
			slices.Reverse(r)
		}
		b = appendPositions(b, r)
	}
	return append(b, ']')
}

// area2 is twice the signed area of a closed ring, positive counterclockwise.
func area2(r []geo.Point) float64 {
	a := 0.0
	for i := 1; i < len(r); i++ {
		p, q := r[i-1].Sub(r[0]), r[i].Sub(r[0])
		a += p.X*q.Y - q.X*p.Y
	}
	return a
}

func appendPositions(b []byte, pts []geo.Point) []byte {
	b = append(b, '[')
	for i, p := range pts {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendPosition(b, p)
	}
	return append(b, ']')
}

func appendPosition(b []byte, p geo.Point) []byte {
	b = append(b, '[')
	b = strconv.AppendFloat(b, math.Round(p.X*1e7)/1e7, 'f', -1, 64)
	b = append(b, ',')
	b = strconv.AppendFloat(b, math.Round(p.Y*1e7)/1e7, 'f', -1, 64)
	return append(b, ']')
}
