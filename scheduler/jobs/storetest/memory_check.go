package storetest

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
)

// judged is a staged row and what the check found about it.
type judged struct {
	line    int
	ref     string
	f       f
	raw     geo.Shape
	at      ground
	placed  bool
	verdict string // new, changed, unchanged, merged or fault
	into    string // merged: the key that stands for both
	why     string
	faults  []scheduler.Fault
	changes []scheduler.Change
	item    item     // of a plain layer: what the row would make
	want    wantTree // of a tree: the same
	past    pastVisit
}

func (j *judged) fault(field, value, rule string) {
	j.faults = append(j.faults, scheduler.Fault{Line: j.line, Field: field, Value: value, Rule: rule})
}

// CheckStaged compares the staged rows with each other and with the tables.
func (m *Memory) CheckStaged(ctx context.Context, batch int64, layer scheduler.Layer, today scheduler.Date) (diff scheduler.Diff, err error) {
	err = m.write(ctx, func(s *state) error {
		b, err := s.batch(batch, "staged")
		if err != nil {
			return err
		}
		if b.Layer != layer.Name {
			return scheduler.Errorf(scheduler.Clash, "batch %d is of layer %s, not %s", batch, b.Layer, layer.Name)
		}
		if layer.Geometry != scheduler.GeometryNone && s.city.SRID == 0 {
			return scheduler.Errorf(scheduler.Clash, "the city has no coordinate system yet")
		}
		b.checked, b.judged = s.related(layer.Name), make([]judged, len(b.rows))
		for i := range b.rows {
			r := &b.rows[i]
			b.judged[i] = judged{line: r.Line, f: given(&layer, r), raw: r.Shape}
			b.judged[i].ref = of(b.judged[i].f, "ref", "")
		}
		s.checkKeys(b.judged)
		if layer.Geometry != scheduler.GeometryNone {
			s.checkPlaces(&layer, b.judged)
		}
		switch layer.Name {
		case "trees":
			s.judgeTrees(b.judged)
		case "history":
			s.judgeHistory(b.judged, today)
		default:
			s.judgeItems(&layer, b.judged)
		}
		diff = sumUp(b.judged)
		s.batches[batch] = b
		return nil
	})
	return diff, err
}

func (s *state) checkKeys(rows []judged) {
	first := map[string]int{}
	for i := range rows {
		j := &rows[i]
		if strings.TrimSpace(j.ref) == "" {
			j.fault("ref", "", "every row has a key")
		} else if line, twice := first[j.ref]; twice {
			j.fault("ref", j.ref, fmt.Sprintf("a key stands once in a file; line %d came first and counts", line))
		} else {
			first[j.ref] = j.line
		}
	}
}

// checkPlaces finds rows that lie where no city is, and shapes of another kind
// than the layer's.
func (s *state) checkPlaces(layer *scheduler.Layer, rows []judged) {
	inDistricts := layer.Name == "trees" && len(s.layer("districts")) > 0
	low, high := s.reach(rows)
	for i := range rows {
		j := &rows[i]
		if !j.raw.Empty() {
			j.at, j.placed = place(j.raw, s.city.SRID)
		}
		switch {
		case j.raw.Empty():
			j.fault("position", "", "every row of this layer has a position")
		case !j.placed:
			j.fault("position", fmt.Sprint(j.raw.Points()[0]), fmt.Sprintf("the position has no place in the city's coordinate system EPSG:%d", s.city.SRID))
		case inDistricts && s.areaAt("districts", j.at.all()[0]) == nil:
			j.fault("position", fmt.Sprint(j.at.all()[0]), "a tree stands inside a district; this one lies in water or outside the city")
		case !inDistricts && !slices.ContainsFunc(j.at.all(), func(p geo.Point) bool {
			return p.X >= low.X && p.X <= high.X && p.Y >= low.Y && p.Y <= high.Y
		}):
			j.fault("position", fmt.Sprint(j.at.all()[0]), "a position lies within 150 km of the rest of the city")
		}
		if j.placed && string(j.raw.Kind()) != string(layer.Geometry) {
			kind := map[scheduler.GeometryKind]string{"point": "point", "line": "linestring", "area": "multipolygon"}[layer.Geometry]
			j.fault("position", fmt.Sprint(j.at.all()[0]), "the shape is not usable: this layer wants a "+kind)
		} else if layer.Geometry == scheduler.GeometryArea && j.placed && j.at.area() < 1 {
			j.fault("position", fmt.Sprint(j.at.all()[0]), "an area covers at least one square metre; this one could not be made valid")
		} else if layer.Name == "streets" && j.placed && lengthOf(j.at.pts) < 1 {
			j.fault("position", fmt.Sprintf("%.2f m", lengthOf(j.at.pts)), "a block is at least 1 m long")
		}
	}
}

// reach is the box 150 km around what the city has, or around the middle of a
// first file.
func (s *state) reach(rows []judged) (low, high geo.Point) {
	var xs, ys []float64
	for _, it := range s.items {
		for _, p := range it.at.all() {
			xs, ys = append(xs, p.X), append(ys, p.Y)
		}
	}
	for _, st := range s.sites {
		xs, ys = append(xs, st.at.X), append(ys, st.at.Y)
	}
	if len(xs) == 0 {
		for i := range rows {
			if g, ok := place(rows[i].raw, s.city.SRID); ok && !rows[i].raw.Empty() {
				xs, ys = append(xs, g.all()[0].X), append(ys, g.all()[0].Y)
			}
		}
		slices.Sort(xs)
		slices.Sort(ys)
		if middle := (len(xs) - 1) / 2; len(xs) > 0 {
			xs, ys = xs[middle:middle+1], ys[middle:middle+1]
		}
	}
	if len(xs) == 0 {
		return geo.Point{X: math.Inf(1)}, geo.Point{}
	}
	const far = 150_000
	return geo.Point{X: slices.Min(xs) - far, Y: slices.Min(ys) - far}, geo.Point{X: slices.Max(xs) + far, Y: slices.Max(ys) + far}
}

func (g *ground) all() []geo.Point {
	out := g.pts
	for _, rings := range g.parts {
		out = slices.Concat(out, slices.Concat(rings...))
	}
	return out
}
