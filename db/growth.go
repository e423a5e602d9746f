package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/geo"
	"limbround/scheduler"
)

// A tree of several stems has a combined dbh, which is on no curve of single stems.
const measuredTreesSQL = `
SELECT species, planted, measured_on, dbh_mm FROM tree
WHERE state = 'alive' AND stems = 1 AND species IS NOT NULL AND planted_precision <> 'none' AND measured_on > planted AND dbh_mm > 0`

// MeasuredTrees hands each living tree of one stem with a planting date and a
// dbh measured after it to fn, in no order.
func (d *DB) MeasuredTrees(ctx context.Context, fn func(species string, planted, measured scheduler.Date, dbh geo.Length) error) error {
	rows, err := d.pool.Query(ctx, measuredTreesSQL)
	if err != nil {
		return failed("read measured trees", err)
	}
	var species string
	var planted, measured scheduler.Date
	var dbh geo.Length
	_, err = pgx.ForEachRow(rows, []any{&species, &planted, &measured, &dbh}, func() error {
		return fn(species, planted, measured, dbh)
	})
	return failed("read measured trees", err)
}
