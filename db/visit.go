package db

import (
	"context"
	"strconv"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	visitByIDSQL   = `SELECT v.* FROM visit_fact v WHERE v.id = $1`
	visitOfTreeSQL = `
SELECT v.* FROM visit_fact v WHERE v.tree_id = $1 AND ($2 OR v.progress = 'open') ORDER BY v.progress, v.class, v.due, v.id`
	visitListSQL = `
SELECT v.* FROM visit_fact v
WHERE v.progress = 'open' AND v.id > $1
  AND ($2 = '' OR v.state::text = $2) AND ($3 = '' OR v.kind::text = $3)
  AND ($4 = '' OR v.tree_id IN (SELECT f.id FROM tree_fact f WHERE f.district = $4))
  AND ($5::date IS NULL OR v.latest < $5) AND v.class <= $6
ORDER BY v.id LIMIT $7`
	visitCountSQL = `
SELECT count(*) FROM visit v
WHERE v.progress = 'open'
  AND ($1 = '' OR v.state::text = $1) AND ($2 = '' OR v.kind::text = $2)
  AND ($3 = '' OR v.tree_id IN (SELECT f.id FROM tree_fact f WHERE f.district = $3))
  AND ($4::date IS NULL OR v.latest < $4) AND v.class <= $5`
	visitCloseSQL = `UPDATE visit SET progress = 'completed', revision = revision + 1 WHERE id = ANY ($1) AND progress <> 'completed'`
)

// Visit reads one visit, whatever became of it.
func (d *DB) Visit(ctx context.Context, id int64) (scheduler.Visit, error) {
	v, err := readVisit(ctx, d.pool, id)
	if err == nil && v == nil {
		err = scheduler.Errorf(scheduler.NotFound, "visit %d: there is none", id)
	}
	if err != nil {
		return scheduler.Visit{}, err
	}
	return *v, nil
}

// VisitsOfTree returns a tree's open visits, most urgent first, and with all
// set the completed and withdrawn ones after them.
func (d *DB) VisitsOfTree(ctx context.Context, tree int64, all bool) ([]scheduler.Visit, error) {
	return readVisits(ctx, d.pool, tree, all)
}

// VisitList returns a page of the open visits that the filter takes, by id,
// after the given one, and how many there are in all.
func (d *DB) VisitList(ctx context.Context, f scheduler.VisitFilter, after int64, limit int) ([]scheduler.Visit, int, error) {
	class := 4
	if f.UpToClass != nil {
		class = *f.UpToClass
	}
	var matched int
	args := []any{string(f.State), string(f.Kind), f.District, f.LateBefore, class}
	if err := d.pool.QueryRow(ctx, visitCountSQL, args...).Scan(&matched); err != nil {
		return nil, 0, failed("count visits", err)
	}
	rows, err := d.pool.Query(ctx, visitListSQL, append(append([]any{after}, args...), limit)...)
	if err != nil {
		return nil, 0, failed("list visits", err)
	}
	list, err := pgx.CollectRows(rows, scanVisit)
	return list, matched, failed("list visits", err)
}

// readVisit returns nil when there is no such visit.
func readVisit(ctx context.Context, q querier, id int64) (*scheduler.Visit, error) {
	rows, err := q.Query(ctx, visitByIDSQL, id)
	if err != nil {
		return nil, failed("read visit", err)
	}
	v, err := pgx.CollectOneRow(rows, scanVisit)
	if isNoRows(err) {
		return nil, nil
	}
	return &v, failed("read visit "+strconv.FormatInt(id, 10), err)
}

func readVisits(ctx context.Context, q querier, tree int64, all bool) ([]scheduler.Visit, error) {
	rows, err := q.Query(ctx, visitOfTreeSQL, tree, all)
	if err != nil {
		return nil, failed("read visits", err)
	}
	list, err := pgx.CollectRows(rows, scanVisit)
	return list, failed("read visits", err)
}
