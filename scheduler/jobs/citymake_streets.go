package jobs

import (
	"context"
	"errors"
	"io"
	"math"
	"path/filepath"

	"limbround/geo"
	"limbround/geo/file"
	"limbround/scheduler"
	"limbround/scheduler/city"
)

// givenStreets reads the street network that a city is to be made on, in
// metres of the UTM zone it returns. Rows that break a rule of the streets
// layer are counted and left out.
func givenStreets(ctx context.Context, q CityMakeRequest) (streets []scheduler.Street, srid int, skipped int64, err error) {
	name := filepath.Base(q.Streets)
	options := file.Options{Box: windowBox(q.Around, q.Radius)}
	s, err := takeSample(q.Streets, options, sampleSize)
	if err != nil {
		return nil, 0, 0, unreadable(name, err)
	}
	layer, _ := scheduler.LayerNamed("streets")
	p, err := newPlan(&mapping{}, layer, s.columns, s.fixed, s.shapes)
	if err != nil {
		return nil, 0, 0, scheduler.Wrap(scheduler.Invalid, "streets "+name, err)
	}
	rows := &reader{plan: p, today: q.AsOf, seen: map[string]bool{}}
	src, err := file.Open(q.Streets, options)
	if err != nil {
		return nil, 0, 0, unreadable(name, err)
	}
	defer src.Close()
	var grid geo.UTM
	for n := 0; ; n++ {
		f, err := src.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil && n%progressStep == 0 {
			err = ctx.Err()
		}
		if err != nil {
			return nil, 0, 0, unreadable(name, err)
		}
		row, faults := rows.row(&f)
		if len(faults) > 0 {
			skipped++
			continue
		}
		pts := row.Shape.Points()
		if grid == (geo.UTM{}) {
			at := pts[0]
			if q.Around.Valid() {
				at = q.Around
			}
			if grid, err = geo.NewUTM(geo.UTMZone(at)); err != nil {
				return nil, 0, 0, err
			}
		}
		for i := range pts {
			pts[i] = grid.Forward(pts[i])
		}
		streets = append(streets, streetOf(&layer, &row, pts))
	}
	if q.Around.Valid() && len(streets) > 0 {
		streets = city.Window(streets, grid.Forward(q.Around), q.Radius)
	}
	if len(streets) == 0 {
		return nil, 0, skipped, scheduler.Errorf(scheduler.Invalid, "streets %s: no usable street in the window (%d rows broke a rule)", name, skipped)
	}
	return streets, grid.SRID(), skipped, nil
}

// windowBox is the rectangle around a window, in degrees; nil for no window.
func windowBox(around geo.Point, radius float64) *file.Box {
	if !around.Valid() {
		return nil
	}
	const perDegree = 111_000 // metres of a degree of latitude, rounded down
	dy := radius / perDegree
	dx := dy / max(math.Cos(around.Y*math.Pi/180), 0.01)
	return &file.Box{MinLon: around.X - dx, MinLat: around.Y - dy, MaxLon: around.X + dx, MaxLat: around.Y + dy}
}

func streetOf(layer *scheduler.Layer, row *scheduler.Row, line []geo.Point) scheduler.Street {
	f := fields{layer: layer, row: row}
	number := func(name string) int {
		n, _ := row.Values[layer.Field(name)].(int64)
		return int(n)
	}
	flag := func(name string) bool {
		b, _ := row.Values[layer.Field(name)].(bool)
		return b
	}
	return scheduler.Street{
		Ref: f.text("ref"), Name: f.text("name"), Class: scheduler.StreetClass(f.text("class")), OneWay: f.text("one_way"),
		SpeedKmh: number("speed_kmh"), Width: f.length("width_mm"), Lanes: number("lanes"), Parking: f.text("parking"),
		Bus: flag("bus_route"), Truck: flag("truck_route"), Bridge: flag("bridge"),
		MaxHeight: f.length("max_height_mm"), MaxWeightKg: number("max_weight_kg"), Line: line,
	}
}
