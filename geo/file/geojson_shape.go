package file

import (
	"encoding/json"
	"fmt"

	"limbround/geo"
)

// shapeOf reads a GeoJSON geometry (RFC 7946 section 3.1). Heights are dropped.
// A null geometry gives the empty shape.
func shapeOf(raw []byte, srid int) (geo.Shape, error) {
	if len(raw) == 0 || string(raw) == "null" {
		return geo.Shape{}, nil
	}
	var g struct {
		Type        string          `json:"type"`
		Coordinates json.RawMessage `json:"coordinates"`
	}
	if err := json.Unmarshal(raw, &g); err != nil {
		return geo.Shape{}, fmt.Errorf("the geometry is not a GeoJSON geometry object")
	}
	switch g.Type {
	case "Point":
		p, err := coordinates[position](g.Coordinates)
		if err != nil {
			return geo.Shape{}, err
		}
		q, err := p.point()
		return geo.NewPoint(srid, q), err
	case "MultiPoint":
		ps, err := coordinates[[]position](g.Coordinates)
		if err == nil && len(ps) != 1 {
			err = fmt.Errorf("a MultiPoint of %d positions; write one feature for each", len(ps))
		}
		if err != nil {
			return geo.Shape{}, err
		}
		q, err := ps[0].point()
		return geo.NewPoint(srid, q), err
	case "LineString":
		ps, err := coordinates[[]position](g.Coordinates)
		if err != nil {
			return geo.Shape{}, err
		}
		return line(srid, ps)
	case "MultiLineString":
		parts, err := coordinates[[][]position](g.Coordinates)
		if err == nil && len(parts) != 1 {
			err = fmt.Errorf("a line in %d parts; write one feature for each part", len(parts))
		}
		if err != nil {
			return geo.Shape{}, err
		}
		return line(srid, parts[0])
	case "Polygon":
		rings, err := coordinates[[][]position](g.Coordinates)
		if err != nil {
			return geo.Shape{}, err
		}
		return area(srid, [][][]position{rings})
	case "MultiPolygon":
		parts, err := coordinates[[][][]position](g.Coordinates)
		if err != nil {
			return geo.Shape{}, err
		}
		return area(srid, parts)
	case "":
		return geo.Shape{}, fmt.Errorf("the geometry has no type")
	}
	return geo.Shape{}, fmt.Errorf("a geometry of type %q is not accepted", clip(g.Type))
}

// position is one GeoJSON position: two numbers, a height perhaps.
type position []float64

func (p position) point() (geo.Point, error) {
	if len(p) < 2 {
		return geo.Point{}, fmt.Errorf("a position has %d numbers, it needs two", len(p))
	}
	return geo.Point{X: p[0], Y: p[1]}, nil
}

func coordinates[T any](raw json.RawMessage) (T, error) {
	var v T
	if err := json.Unmarshal(raw, &v); err != nil {
		return v, fmt.Errorf("the coordinates are not nested as the geometry type asks, or hold something that is no number")
	}
	return v, nil
}

func points(ps []position) ([]geo.Point, error) {
	out := make([]geo.Point, len(ps))
	for i, p := range ps {
		q, err := p.point()
		if err != nil {
			return nil, err
		}
		out[i] = q
	}
	return out, nil
}

func line(srid int, ps []position) (geo.Shape, error) {
	pts, err := points(ps)
	if err == nil && len(pts) < 2 {
		err = fmt.Errorf("a line has %d positions, it needs two", len(pts))
	}
	if err != nil {
		return geo.Shape{}, err
	}
	return geo.NewLine(srid, pts), nil
}

func area(srid int, parts [][][]position) (geo.Shape, error) {
	out := make([][][]geo.Point, len(parts))
	for i, rings := range parts {
		if len(rings) == 0 {
			return geo.Shape{}, fmt.Errorf("part %d of the area has no ring", i+1)
		}
		for _, r := range rings {
			pts, err := points(r)
			switch {
			case err != nil:
				return geo.Shape{}, err
			case len(pts) < 4:
				return geo.Shape{}, fmt.Errorf("a ring has %d positions, it needs four", len(pts))
			case pts[0] != pts[len(pts)-1]:
				return geo.Shape{}, fmt.Errorf("a ring is not closed: its last position differs from its first")
			}
			out[i] = append(out[i], pts)
		}
	}
	if len(out) == 0 {
		return geo.Shape{}, fmt.Errorf("the area has no part")
	}
	return geo.NewAreas(srid, out), nil
}
