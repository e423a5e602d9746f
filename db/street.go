package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"limbround/geo"
	"limbround/scheduler"
)

const listStreetsSQL = `
SELECT id, ref, coalesce(name, ''), class::text, one_way, coalesce(speed_kmh, 0), width_mm, coalesce(lanes, 0), parking,
       bus_route, truck_route, bridge, max_height_mm, coalesce(max_weight_kg, 0), geom
FROM street ORDER BY id`

// Streets returns every block with its line in the city's metric system, by id.
func (d *DB) Streets(ctx context.Context) ([]scheduler.Street, error) {
	rows, err := d.pool.Query(ctx, listStreetsSQL)
	if err != nil {
		return nil, failed("read streets", err)
	}
	list, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (s scheduler.Street, err error) {
		var line geo.Shape
		err = r.Scan(&s.ID, &s.Ref, &s.Name, &s.Class, &s.OneWay, &s.SpeedKmh, &s.Width, &s.Lanes, &s.Parking,
			&s.Bus, &s.Truck, &s.Bridge, &s.MaxHeight, &s.MaxWeightKg, &line)
		s.Line = line.Points()
		return s, err
	})
	return list, failed("read streets", err)
}

// onePoint is the position of a point shape.
func onePoint(s geo.Shape) (geo.Point, error) {
	if p := s.Points(); len(p) == 1 {
		return p[0], nil
	}
	return geo.Point{}, fmt.Errorf("read position: want one point, got %d", len(s.Points()))
}
