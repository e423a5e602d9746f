package db

import (
	"context"
	"encoding/json"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	recordsOfTreeSQL = `
SELECT body, done_on, actor, received_at, id::text, source FROM work_record WHERE tree_id = $1 ORDER BY done_on DESC, finished_at DESC, id`
	measuresOfTreeSQL = `
SELECT on_date, source, coalesce(record_id::text, ''), dbh_mm, height_mm, crown_spread_mm, base_road_mm, base_walk_mm
FROM measurement WHERE tree_id = $1 ORDER BY on_date DESC, id DESC`
)

// RecordsOfTree returns a tree's work records, newest first.
func (d *DB) RecordsOfTree(ctx context.Context, tree int64) ([]scheduler.WorkEntry, error) {
	rows, err := d.pool.Query(ctx, recordsOfTreeSQL, tree)
	if err != nil {
		return nil, failed("read tree's records", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (e scheduler.WorkEntry, err error) {
		var body []byte
		var id, source string
		if err := row.Scan(&body, &e.DoneOn, &e.Actor, &e.Arrived, &id, &source); err != nil {
			return e, err
		}
		err = json.Unmarshal(body, &e.Record)
		e.Record.ID, e.Record.Source, e.Record.TreeID = id, source, tree
		return e, err
	})
	return list, failed("read tree's records", err)
}

// MeasurementsOfTree returns what was measured on a tree, newest first.
func (d *DB) MeasurementsOfTree(ctx context.Context, tree int64) ([]scheduler.Measurement, error) {
	rows, err := d.pool.Query(ctx, measuresOfTreeSQL, tree)
	if err != nil {
		return nil, failed("read tree's measurements", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (m scheduler.Measurement, err error) {
		err = row.Scan(&m.On, &m.Source, &m.RecordID, &m.DBH, &m.Height, &m.Crown, &m.BaseRoad, &m.BaseWalk)
		return m, err
	})
	return list, failed("read tree's measurements", err)
}
