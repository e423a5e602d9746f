package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// Trees outside every district have a row of their own, with an empty ref, so
// that the rows add up to the city.
const (
	overdueTreesSQL = `
SELECT coalesce(d.ref, '') AS ref, coalesce(d.name, 'outside every district') AS name, coalesce(d.version, 0) AS version,
    coalesce(n.trees, 0) AS trees, coalesce(n.late, 0) AS late
FROM (
    SELECT f.district_id, count(*) FILTER (WHERE f.state IN ('alive', 'dead', 'stump')) AS trees, count(late.tree_id) AS late
    FROM tree_fact f
    LEFT JOIN (SELECT DISTINCT v.tree_id FROM visit v
               WHERE v.progress = 'open' AND v.state IN ('overdue_workable', 'overdue_closed')) late ON late.tree_id = f.id
    GROUP BY f.district_id
) n
FULL JOIN district d ON d.id = n.district_id
ORDER BY d.ref NULLS LAST`
	overdueVisitsSQL = `
SELECT f.district AS ref, v.state, v.kind, count(*) AS visits, sum(v.minutes) AS minutes, min(v.latest) AS oldest
FROM visit v JOIN tree_fact f ON f.id = v.tree_id
WHERE v.progress = 'open' GROUP BY f.district, v.state, v.kind`
)

// OverdueByDistrict returns the analyst's table as of the last due pass over
// the whole city: a row for each district, one for trees outside every district when there are any,
// and the total. States are those of that pass, which the table names.
func (d *DB) OverdueByDistrict(ctx context.Context) (scheduler.OverdueTable, error) {
	return d.readOverdue(ctx, overdueQueries{head: dueLastSQL, trees: overdueTreesSQL, visits: overdueVisitsSQL})
}

// overdueQueries make one table: its day and policy, its districts with their
// trees, and the visits by district, state and kind.
type overdueQueries struct {
	head, trees, visits string
	args                []any
}

func (d *DB) readOverdue(ctx context.Context, q overdueQueries) (scheduler.OverdueTable, error) {
	var t scheduler.OverdueTable
	err := pgx.BeginTxFunc(ctx, d.pool, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		t = scheduler.OverdueTable{}
		if err := tx.QueryRow(ctx, q.head, q.args...).Scan(&t.AsOf, &t.PolicyID); err != nil && !isNoRows(err) {
			return fmt.Errorf("read day of overdue table: %w", err)
		}
		rows, err := tx.Query(ctx, q.trees, q.args...)
		if err != nil {
			return err
		}
		if t.Rows, err = pgx.CollectRows(rows, scanOverdueTrees); err != nil {
			return err
		}
		return addOverdueVisits(ctx, tx, &q, t.Rows)
	})
	if err != nil {
		return t, failed("read overdue table", err)
	}
	t.Sum()
	return t, nil
}

func scanOverdueTrees(row pgx.CollectableRow) (scheduler.OverdueRow, error) {
	r := scheduler.OverdueRow{Visits: map[scheduler.VisitState]int{}, ByKind: map[scheduler.WorkKind]int{}}
	err := row.Scan(&r.District, &r.Name, &r.Version, &r.Trees, &r.Late)
	if r.Trees > 0 {
		r.Share = float64(r.Late) / float64(r.Trees)
	}
	return r, err
}

func addOverdueVisits(ctx context.Context, tx pgx.Tx, q *overdueQueries, list []scheduler.OverdueRow) error {
	byRef := make(map[string]*scheduler.OverdueRow, len(list))
	for i := range list {
		byRef[list[i].District] = &list[i]
	}
	rows, err := tx.Query(ctx, q.visits, q.args...)
	if err != nil {
		return err
	}
	var ref string
	var state scheduler.VisitState
	var kind scheduler.WorkKind
	var visits, minutes int
	var oldest scheduler.Date
	_, err = pgx.ForEachRow(rows, []any{&ref, &state, &kind, &visits, &minutes, &oldest}, func() error {
		r := byRef[ref]
		if r == nil {
			return fmt.Errorf("visits in district %q without a row of trees", ref)
		}
		r.Visits[state] += visits
		if state != scheduler.Overdue && state != scheduler.OverdueClosed {
			return nil
		}
		r.ByKind[kind] += visits
		r.CrewHours += float64(minutes) / 60
		if r.Oldest.IsZero() || (!oldest.IsZero() && oldest < r.Oldest) {
			r.Oldest = oldest
		}
		return nil
	})
	return err
}
