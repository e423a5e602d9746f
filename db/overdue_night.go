package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// A night's table is kept in the transaction of its pass, and read back in the
// shape of the live one.
const (
	nightClearSQL = `DELETE FROM overdue_night WHERE night = $1`
	nightAddSQL   = `INSERT INTO overdue_night (night, policy_id, run_id, made_at) VALUES ($1, $2, $3, $4)`
	nightTreesSQL = `
INSERT INTO overdue_district (night, district_ref, district_version, name, trees, late)
SELECT $1, t.ref, t.version, t.name, t.trees, t.late FROM (` + overdueTreesSQL + `) t`
	nightVisitsSQL = `
INSERT INTO overdue_visits (night, district_ref, state, kind, visits, minutes, oldest)
SELECT $1, v.ref, v.state, v.kind, v.visits, v.minutes, v.oldest FROM (` + overdueVisitsSQL + `) v`

	nightReadSQL      = `SELECT night, coalesce(policy_id, 0) FROM overdue_night WHERE night = $1`
	nightDistrictsSQL = `
SELECT district_ref, name, district_version, trees, late FROM overdue_district
WHERE night = $1 ORDER BY nullif(district_ref, '') NULLS LAST`
	nightCountsSQL = `
SELECT district_ref, state, kind, visits, minutes, oldest FROM overdue_visits WHERE night = $1`
	nightListSQL = `
SELECT n.night, coalesce(n.policy_id, 0), n.made_at, sum(d.trees), sum(d.late)
FROM overdue_night n JOIN overdue_district d USING (night) GROUP BY n.night ORDER BY n.night DESC`
)

// keepNight keeps the table as the pass that has just run found it. A later
// pass over the whole city as of the same day takes its place.
func keepNight(ctx context.Context, tx pgx.Tx, night scheduler.Date, policy, run int64, at time.Time) error {
	for _, step := range []struct {
		sql  string
		args []any
	}{
		{nightClearSQL, []any{night}},
		{nightAddSQL, []any{night, orNull(policy), run, at}},
		{nightTreesSQL, []any{night}},
		{nightVisitsSQL, []any{night}},
	} {
		if _, err := tx.Exec(ctx, step.sql, step.args...); err != nil {
			return failed("keep the night's overdue table", err)
		}
	}
	return nil
}

// OverdueOn returns the analyst's table as it was on a past night. A night of
// which no table was kept is NotFound.
func (d *DB) OverdueOn(ctx context.Context, night scheduler.Date) (scheduler.OverdueTable, error) {
	t, err := d.readOverdue(ctx, overdueQueries{head: nightReadSQL, trees: nightDistrictsSQL, visits: nightCountsSQL, args: []any{night}})
	if err == nil && t.AsOf.IsZero() {
		e := scheduler.Errorf(scheduler.NotFound, "no overdue table was kept of the night of %s", night)
		e.Hint = "one is kept by each due pass over the whole city; the list of nights says which there are"
		return t, e
	}
	return t, err
}

// OverdueNights lists the nights of which a table was kept, newest first.
func (d *DB) OverdueNights(ctx context.Context) ([]scheduler.OverdueNight, error) {
	rows, err := d.pool.Query(ctx, nightListSQL)
	if err != nil {
		return nil, failed("list nights", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (n scheduler.OverdueNight, err error) {
		err = row.Scan(&n.Night, &n.PolicyID, &n.MadeAt, &n.Trees, &n.Late)
		return n, err
	})
	return list, failed("list nights", err)
}
