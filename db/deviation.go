package db

import (
	"context"
	"strconv"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	deviationLogSQL = `
INSERT INTO deviation (policy_id, tree_id, record_id, rule, item, allowed, found, why, approved_by, on_date, actor, made_at)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12) ON CONFLICT (record_id, rule, item) DO NOTHING`
	deviationAddSQL = `
INSERT INTO deviation (policy_id, tree_id, rule, item, allowed, found, why, approved_by, on_date, actor, made_at)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11) RETURNING id`
	deviationListSQL = `
SELECT d.id, d.policy_id, coalesce(d.tree_id, 0), coalesce(t.ref, ''), coalesce(d.record_id::text, ''), d.rule, d.item, d.allowed, d.found,
    d.why, d.approved_by, d.on_date, d.actor, d.made_at
FROM deviation d LEFT JOIN tree t ON t.id = d.tree_id
WHERE ($1::date IS NULL OR d.on_date >= $1) AND d.id > $2 ORDER BY d.id LIMIT $3`
	deviationCountSQL = `SELECT count(*) FROM deviation d WHERE $1::date IS NULL OR d.on_date >= $1`
)

// deviations logs where the record departs from the policy. A row of a record
// that is logged already stays as it was.
func (w *recordWrite) deviations(ctx context.Context) error {
	for i := range w.out.Deviations {
		v := &w.out.Deviations[i]
		_, err := w.tx.Exec(ctx, deviationLogSQL, v.PolicyID, v.TreeID, v.RecordID, v.Rule, v.Item, v.Allowed, v.Found, v.Why, v.ApprovedBy, v.On,
			w.by.Actor, w.by.At)
		if err != nil {
			return failed("log deviation", err)
		}
	}
	return nil
}

// AddDeviation logs the manager's own entry, which names no record, and answers it with its number.
func (d *DB) AddDeviation(ctx context.Context, v scheduler.Deviation, by scheduler.Stamp) (scheduler.Deviation, error) {
	v.Actor, v.At = by.Actor, by.At
	err := d.tx(ctx, func(tx pgx.Tx) error {
		err := tx.QueryRow(ctx, deviationAddSQL, v.PolicyID, orNull(v.TreeID), v.Rule, v.Item, v.Allowed, v.Found, v.Why, v.ApprovedBy, v.On,
			by.Actor, by.At).Scan(&v.ID)
		if err != nil {
			return failed("log deviation", err)
		}
		return audit(ctx, tx, by, "add", "deviation", strconv.FormatInt(v.ID, 10), map[string]string{"rule": string(v.Rule), "approved_by": v.ApprovedBy})
	})
	return v, err
}

// DeviationList lists at most limit deviations of work since a day, all when it
// is zero, with ids above after, and answers how many there are.
func (d *DB) DeviationList(ctx context.Context, since scheduler.Date, after int64, limit int) (list []scheduler.Deviation, matched int, err error) {
	if err := d.pool.QueryRow(ctx, deviationCountSQL, since).Scan(&matched); err != nil {
		return nil, 0, failed("count deviations", err)
	}
	rows, err := d.pool.Query(ctx, deviationListSQL, since, after, limit)
	if err != nil {
		return nil, 0, failed("list deviations", err)
	}
	list, err = pgx.CollectRows(rows, pgx.RowToStructByPos[scheduler.Deviation])
	for i := range list {
		list[i].At = list[i].At.UTC()
	}
	return list, matched, failed("list deviations", err)
}
