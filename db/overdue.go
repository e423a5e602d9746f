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
SELECT coalesce(d.ref, ''), coalesce(d.name, 'outside every district'), coalesce(n.trees, 0), coalesce(n.late, 0)
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
SELECT f.district, v.state, v.kind, count(*), sum(v.minutes), min(v.latest)
FROM visit v JOIN tree_fact f ON f.id = v.tree_id
WHERE v.progress = 'open' GROUP BY f.district, v.state, v.kind`
	snapshotClearSQL = `DELETE FROM overdue_snapshot WHERE night = $1`
	snapshotFillSQL  = `
INSERT INTO overdue_snapshot (night, district_id, district_ref, district_version, policy_id, state, kind, visits, minutes, oldest)
SELECT $1, f.district_id, f.district, coalesce(d.version, 0), $2, v.state, v.kind, count(*), sum(v.minutes), min(v.latest)
FROM visit v JOIN tree_fact f ON f.id = v.tree_id LEFT JOIN district d ON d.id = f.district_id
WHERE v.progress = 'open' GROUP BY f.district_id, f.district, d.version, v.state, v.kind`
)

// OverdueByDistrict returns the analyst's table as of the last due pass over
// the whole city: a row for each district, one for trees outside every district when there are any,
// and the total. States are those of that pass, which the table names.
func (d *DB) OverdueByDistrict(ctx context.Context) (scheduler.OverdueTable, error) {
	var t scheduler.OverdueTable
	err := pgx.BeginTxFunc(ctx, d.pool, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		t = scheduler.OverdueTable{}
		if err := tx.QueryRow(ctx, dueLastSQL).Scan(&t.AsOf, &t.PolicyID); err != nil && !isNoRows(err) {
			return fmt.Errorf("read last due run: %w", err)
		}
		rows, err := tx.Query(ctx, overdueTreesSQL)
		if err != nil {
			return err
		}
		t.Rows, err = pgx.CollectRows(rows, scanOverdueTrees)
		if err != nil {
			return err
		}
		return addOverdueVisits(ctx, tx, t.Rows)
	})
	if err != nil {
		return t, failed("read overdue table", err)
	}
	t.Sum()
	return t, nil
}

func scanOverdueTrees(row pgx.CollectableRow) (scheduler.OverdueRow, error) {
	r := scheduler.OverdueRow{Visits: map[scheduler.VisitState]int{}, ByKind: map[scheduler.WorkKind]int{}}
	err := row.Scan(&r.District, &r.Name, &r.Trees, &r.Late)
	if r.Trees > 0 {
		r.Share = float64(r.Late) / float64(r.Trees)
	}
	return r, err
}

func addOverdueVisits(ctx context.Context, tx pgx.Tx, list []scheduler.OverdueRow) error {
	byRef := make(map[string]*scheduler.OverdueRow, len(list))
	for i := range list {
		byRef[list[i].District] = &list[i]
	}
	rows, err := tx.Query(ctx, overdueVisitsSQL)
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

// snapshotOverdue keeps the night's table with the versions of policy and
// districts, to answer later why a number jumped.
func snapshotOverdue(ctx context.Context, tx pgx.Tx, night scheduler.Date, policy int64) error {
	if _, err := tx.Exec(ctx, snapshotClearSQL, night); err != nil {
		return failed("clear overdue snapshot", err)
	}
	_, err := tx.Exec(ctx, snapshotFillSQL, night, orNull(policy))
	return failed("keep overdue snapshot", err)
}
