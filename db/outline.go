package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/geo"
	"limbround/scheduler"
)

// Corners closer than a few metres to the line between their neighbours would
// not be seen on a map of a whole city.
const outlinesSQL = `SELECT ref, name, ST_SimplifyPreserveTopology(geom, 5) FROM district ORDER BY ref`

// Outlines returns the districts' shapes for drawing, by reference.
func (d *DB) Outlines(ctx context.Context) ([]scheduler.Outline, error) {
	rows, err := d.pool.Query(ctx, outlinesSQL)
	if err != nil {
		return nil, failed("read districts", err)
	}
	list, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (o scheduler.Outline, err error) {
		var shape geo.Shape
		err = r.Scan(&o.Ref, &o.Name, &shape)
		o.Parts = shape.Parts()
		return o, err
	})
	return list, failed("read districts", err)
}
