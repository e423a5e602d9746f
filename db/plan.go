package db

import (
	"context"
	"strconv"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	planFieldsByIDSQL = `
SELECT id, year, version, state, coalesce(policy_id, 0), made_on, adopted_on, adopted_by, hours, available, objective, bound, revision
FROM plan WHERE id = $1`
	planListSQL = `
SELECT id, year, version, state, coalesce(policy_id, 0), made_on, adopted_on, adopted_by, hours, available, objective, bound, revision
FROM plan WHERE $1 = 0 OR year = $1 ORDER BY year, version`
	planInForceSQL = `
SELECT id FROM plan WHERE year = $1 AND state <> 'superseded' ORDER BY state = 'adopted' DESC, version DESC LIMIT 1`
	planLinesSQL  = `SELECT visit_id, week, skill, minutes, carried FROM plan_line WHERE plan_id = $1 ORDER BY week NULLS LAST, visit_id`
	planLockSQL   = `SELECT pg_advisory_xact_lock(72019, $1::integer)`
	planInsertSQL = `
INSERT INTO plan (year, version, policy_id, made_on, hours, available, objective, bound)
SELECT $1, coalesce(max(p.version), 0) + 1, $2, $3, $4, $5, $6, $7 FROM plan p WHERE p.year = $1
RETURNING id, version, revision`
	planTakeSQL      = `SELECT year, state, revision FROM plan WHERE id = $1 FOR NO KEY UPDATE`
	planSupersedeSQL = `
UPDATE plan SET state = 'superseded', revision = revision + 1 WHERE year = $1 AND state = 'adopted' AND id <> $2`
	planAdoptSQL = `
UPDATE plan SET state = 'adopted', adopted_on = ($2::timestamptz AT TIME ZONE (SELECT time_zone FROM city))::date,
    adopted_by = $3, revision = revision + 1
WHERE id = $1`
)

// SavePlan stores a plan as the next version of its year, a draft, and returns
// it with its number.
func (d *DB) SavePlan(ctx context.Context, p scheduler.Plan, by scheduler.Stamp) (scheduler.Plan, error) {
	saved := p
	err := d.tx(ctx, func(tx pgx.Tx) error {
		saved = p
		saved.State, saved.Adopted, saved.AdoptedBy = scheduler.PlanDraft, 0, ""
		if _, err := tx.Exec(ctx, planLockSQL, p.Year); err != nil {
			return failed("wait for plans of the year", err)
		}
		err := tx.QueryRow(ctx, planInsertSQL, p.Year, orNull(p.PolicyID), p.MadeOn, p.Hours, p.Available, whole(p.Objective),
			whole(p.Bound)).Scan(&saved.ID, &saved.Version, &saved.Revision)
		if err != nil {
			return failed("keep plan", err)
		}
		rows := make([][]any, len(p.Lines))
		for i := range p.Lines {
			l := &p.Lines[i]
			rows[i] = []any{saved.ID, l.VisitID, l.Week, string(l.Skill), l.Minutes, l.Carried}
		}
		columns := []string{"plan_id", "visit_id", "week", "skill", "minutes", "carried"}
		if _, err := tx.CopyFrom(ctx, pgx.Identifier{"plan_line"}, columns, pgx.CopyFromRows(rows)); err != nil {
			return failed("keep plan's lines", err)
		}
		return audit(ctx, tx, by, "made", "plan", strconv.FormatInt(saved.ID, 10),
			map[string]any{"year": p.Year, "version": saved.Version, "lines": len(p.Lines)})
	})
	return saved, err
}

// whole stores an absent list as an empty one.
func whole(list []int64) []int64 {
	if list == nil {
		return []int64{}
	}
	return list
}

// Plan reads a plan with its lines, planned weeks first.
func (d *DB) Plan(ctx context.Context, id int64) (scheduler.Plan, error) {
	rows, err := d.pool.Query(ctx, planFieldsByIDSQL, id)
	if err != nil {
		return scheduler.Plan{}, failed("read plan", err)
	}
	p, err := pgx.CollectOneRow(rows, scanPlan)
	if isNoRows(err) {
		return p, scheduler.Errorf(scheduler.NotFound, "plan %d: there is none", id)
	}
	if err != nil {
		return p, failed("read plan", err)
	}
	if rows, err = d.pool.Query(ctx, planLinesSQL, id); err != nil {
		return p, failed("read plan's lines", err)
	}
	p.Lines, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (l scheduler.PlanLine, err error) {
		err = row.Scan(&l.VisitID, &l.Week, &l.Skill, &l.Minutes, &l.Carried)
		return l, err
	})
	return p, failed("read plan's lines", err)
}

// PlanInForce returns the adopted plan of a year or, when none is adopted, the
// newest draft; NotFound when there is neither.
func (d *DB) PlanInForce(ctx context.Context, year int) (scheduler.Plan, error) {
	var id int64
	if err := d.pool.QueryRow(ctx, planInForceSQL, year).Scan(&id); err != nil {
		if isNoRows(err) {
			e := scheduler.Errorf(scheduler.NotFound, "plan of %d: there is none", year)
			e.Hint = "make one with: limbround year plan --year " + strconv.Itoa(year)
			return scheduler.Plan{}, e
		}
		return scheduler.Plan{}, failed("find plan", err)
	}
	return d.Plan(ctx, id)
}

// PlanList returns the plans of a year, or of every year for 0, without their lines.
func (d *DB) PlanList(ctx context.Context, year int) ([]scheduler.Plan, error) {
	rows, err := d.pool.Query(ctx, planListSQL, year)
	if err != nil {
		return nil, failed("list plans", err)
	}
	list, err := pgx.CollectRows(rows, scanPlan)
	return list, failed("list plans", err)
}

func scanPlan(row pgx.CollectableRow) (p scheduler.Plan, err error) {
	err = row.Scan(&p.ID, &p.Year, &p.Version, &p.State, &p.PolicyID, &p.MadeOn, &p.Adopted, &p.AdoptedBy, &p.Hours, &p.Available,
		&p.Objective, &p.Bound, &p.Revision)
	return p, err
}

// AdoptPlan makes a draft the plan of its year; the one adopted before is
// superseded. revision is the edit counter that the person saw: another one is Stale.
func (d *DB) AdoptPlan(ctx context.Context, id int64, revision int, by scheduler.Stamp) error {
	return d.tx(ctx, func(tx pgx.Tx) error {
		var year, now int
		var state scheduler.PlanState
		if err := tx.QueryRow(ctx, planTakeSQL, id).Scan(&year, &state, &now); err != nil {
			if isNoRows(err) {
				return scheduler.Errorf(scheduler.NotFound, "plan %d: there is none", id)
			}
			return failed("read plan", err)
		}
		if now != revision {
			return stale("plan", id)
		}
		if state != scheduler.PlanDraft {
			return scheduler.Errorf(scheduler.Clash, "plan %d is %s: only a draft is adopted", id, state)
		}
		if _, err := tx.Exec(ctx, planLockSQL, year); err != nil {
			return failed("wait for plans of the year", err)
		}
		if _, err := tx.Exec(ctx, planSupersedeSQL, year, id); err != nil {
			return failed("supersede plan", err)
		}
		if _, err := tx.Exec(ctx, planAdoptSQL, id, by.At, by.Actor); err != nil {
			return failed("adopt plan", err)
		}
		return audit(ctx, tx, by, "adopted", "plan", strconv.FormatInt(id, 10), map[string]any{"year": year})
	})
}

// stale is the edit clash: somebody was faster.
func stale(noun string, id int64) error {
	e := scheduler.Errorf(scheduler.Stale, "%s %d was changed since you read it", noun, id)
	e.Hint = "read it again, look at the change, and repeat yours if it still makes sense"
	return e
}
