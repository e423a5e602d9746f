package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/geo"
	"limbround/scheduler"
)

const (
	listDepotsSQL = `SELECT id, ref, name, geom FROM depot ORDER BY id`
	listDumpsSQL  = `SELECT id, ref, name, minutes, coalesce(sanitation, ''), geom FROM dump ORDER BY id`
	listCrewsSQL  = `
SELECT c.id, c.ref, c.name, c.depot_id, c.people, c.skills::text[], c.truck_chips_l, coalesce(c.truck_height_mm, 0), coalesce(c.truck_weight_kg, 0),
       c.shift_start, c.shift_minutes, c.yard_minutes, c.break_minutes, c.weekdays, c.tickets,
       (SELECT array_agg(o.day ORDER BY o.day) FROM crew_day_off o WHERE o.crew_id = c.id)
FROM crew c ORDER BY c.id`
	crewSkillsSQL = `SELECT id, name, skills::text[] FROM crew WHERE id = $1`
)

// Depots returns the places where crews start and end, by id.
func (d *DB) Depots(ctx context.Context) ([]scheduler.Depot, error) {
	rows, err := d.pool.Query(ctx, listDepotsSQL)
	if err != nil {
		return nil, failed("read depots", err)
	}
	list, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (x scheduler.Depot, err error) {
		var at geo.Shape
		if err = r.Scan(&x.ID, &x.Ref, &x.Name, &at); err == nil {
			x.Position, err = onePoint(at)
		}
		return x, err
	})
	return list, failed("read depots", err)
}

// Dumps returns the sites that take chips or wood, by id.
func (d *DB) Dumps(ctx context.Context) ([]scheduler.Dump, error) {
	rows, err := d.pool.Query(ctx, listDumpsSQL)
	if err != nil {
		return nil, failed("read dump sites", err)
	}
	list, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (x scheduler.Dump, err error) {
		var at geo.Shape
		if err = r.Scan(&x.ID, &x.Ref, &x.Name, &x.Minutes, &x.Sanitary, &at); err == nil {
			x.Position, err = onePoint(at)
		}
		return x, err
	})
	return list, failed("read dump sites", err)
}

// Crews returns the standing crews with their tickets and days off, by id.
func (d *DB) Crews(ctx context.Context) ([]scheduler.Crew, error) { return readCrews(ctx, d.pool) }

func readCrews(ctx context.Context, q querier) ([]scheduler.Crew, error) {
	rows, err := q.Query(ctx, listCrewsSQL)
	if err != nil {
		return nil, failed("read crews", err)
	}
	list, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (c scheduler.Crew, err error) {
		err = r.Scan(&c.ID, &c.Ref, &c.Name, &c.DepotID, &c.People, &c.Skills, &c.TruckL, &c.TruckHeight, &c.TruckKg,
			&c.ShiftStart, &c.ShiftMin, &c.YardMin, &c.BreakMin, &c.Weekdays, &c.Tickets, &c.DaysOff)
		return c, err
	})
	return list, failed("read crews", err)
}

// crewOf is the number, the name and the skills of a crew; nil when there is none.
func crewOf(ctx context.Context, q querier, id int64) (*scheduler.Crew, error) {
	if id == 0 {
		return nil, nil
	}
	var c scheduler.Crew
	err := q.QueryRow(ctx, crewSkillsSQL, id).Scan(&c.ID, &c.Name, &c.Skills)
	if isNoRows(err) {
		return nil, nil
	}
	return &c, failed("read crew's skills", err)
}
