package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	treeByIDSQL  = `SELECT f.* FROM tree_fact f WHERE f.id = $1`
	treeByRefSQL = `SELECT f.* FROM tree_fact f WHERE f.ref = $1`
	treeListSQL  = `
SELECT f.* FROM tree_fact f
WHERE f.id > $1
  AND ($2 = '' OR f.district = $2) AND ($3 = '' OR f.section = $3) AND ($4 = '' OR f.species = $4)
  AND ($5 = '' OR f.state::text = $5) AND ($6 = '' OR f.stage::text = $6)
  AND ($7 = '' OR f.ref ILIKE $7 || '%' OR f.address ILIKE '%' || $7 || '%')
ORDER BY f.id LIMIT $8`
	treeCountSQL = `
SELECT count(*) FROM tree_fact f
WHERE ($1 = '' OR f.district = $1) AND ($2 = '' OR f.section = $2) AND ($3 = '' OR f.species = $3)
  AND ($4 = '' OR f.state::text = $4) AND ($5 = '' OR f.stage::text = $5)
  AND ($6 = '' OR f.ref ILIKE $6 || '%' OR f.address ILIKE '%' || $6 || '%')`
)

// Tree reads one tree with its site and its open watch items; an unknown id is NotFound.
func (d *DB) Tree(ctx context.Context, id int64) (scheduler.TreeSite, error) {
	ts, _, err := readTree(ctx, d.pool, treeByIDSQL, id, false)
	return ts, err
}

// TreeByRef reads one tree by the city's own number.
func (d *DB) TreeByRef(ctx context.Context, ref string) (scheduler.TreeSite, error) {
	ts, _, err := readTree(ctx, d.pool, treeByRefSQL, ref, false)
	return ts, err
}

// TreeList returns a page of the trees that the filter takes, by id, after the
// given one, and how many there are in all. Watch items are left out.
func (d *DB) TreeList(ctx context.Context, f scheduler.TreeFilter, after int64, limit int) ([]scheduler.TreeSite, int, error) {
	var matched int
	args := []any{f.District, f.Section, f.Species, string(f.State), string(f.Stage), f.Text}
	if err := d.pool.QueryRow(ctx, treeCountSQL, args...).Scan(&matched); err != nil {
		return nil, 0, failed("count trees", err)
	}
	rows, err := d.pool.Query(ctx, treeListSQL, append(append([]any{after}, args...), limit)...)
	if err != nil {
		return nil, 0, failed("list trees", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (scheduler.TreeSite, error) {
		var fact treeFact
		err := row.Scan(fact.fields()...)
		return fact.both(), err
	})
	return list, matched, failed("list trees", err)
}

// readTree reads a tree by one of the statements above with its open watch
// items, or all of them, and its edit counter.
func readTree(ctx context.Context, q querier, sql string, key any, allWatch bool) (scheduler.TreeSite, int, error) {
	var fact treeFact
	err := q.QueryRow(ctx, sql, key).Scan(fact.fields()...)
	if err != nil {
		if isNoRows(err) {
			return scheduler.TreeSite{}, 0, scheduler.Errorf(scheduler.NotFound, "tree %v: there is none", key)
		}
		return scheduler.TreeSite{}, 0, failed("read tree", err)
	}
	ts := fact.both()
	ts.Tree.Watch, err = readWatch(ctx, q, ts.Tree.ID, allWatch)
	return ts, fact.revision, err
}
