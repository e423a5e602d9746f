package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	listDistrictsSQL = `SELECT id, ref, name, 0, version FROM district ORDER BY ref`
	listSectionsSQL  = `SELECT id, ref, coalesce(name, ''), coalesce(cycle_year, 0), 0 FROM section ORDER BY ref`
)

// Districts returns the districts by ref, without their boundaries.
func (d *DB) Districts(ctx context.Context) ([]scheduler.Area, error) {
	return d.areas(ctx, listDistrictsSQL, "read districts")
}

// Sections returns the sections by ref, without their boundaries.
func (d *DB) Sections(ctx context.Context) ([]scheduler.Area, error) {
	return d.areas(ctx, listSectionsSQL, "read sections")
}

func (d *DB) areas(ctx context.Context, sql, op string) ([]scheduler.Area, error) {
	rows, err := d.pool.Query(ctx, sql)
	if err != nil {
		return nil, failed(op, err)
	}
	list, err := pgx.CollectRows(rows, pgx.RowToStructByPos[scheduler.Area])
	return list, failed(op, err)
}
