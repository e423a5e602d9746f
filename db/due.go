package db

import (
	"context"
	"slices"
	"strconv"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	dueLockSQL = `SELECT pg_advisory_xact_lock(7201964310)`
	// A run for a day to come, made to look ahead, counts as of the day on which
	// it was made, so that the city's own nights go on after it.
	dueNewestSQL = `
SELECT max(least(r.as_of, (r.ran_at AT TIME ZONE c.time_zone)::date)) FROM due_run r CROSS JOIN city c WHERE r.whole_city`
	dueCountsSQL = `
SELECT v.kind, v.state, count(*) FROM visit v
WHERE v.progress = 'open' AND ($1::bigint[] IS NULL OR v.tree_id = ANY ($1)) GROUP BY v.kind, v.state`
	dueTreesSQL = `SELECT count(*) FROM tree`
	dueRunSQL   = `
INSERT INTO due_run (as_of, policy_id, whole_city, stats, ran_at, actor) VALUES ($1, $2, $3, $4, $5, $6) RETURNING id`
	dueLastSQL = `
SELECT as_of, coalesce(policy_id, 0) FROM due_run WHERE whole_city ORDER BY id DESC LIMIT 1`
	dueForgetSQL  = `DELETE FROM due_stale`
	dueNotesSQL   = `DELETE FROM due_stale RETURNING tree_id`
	dueTouchedSQL = `
SELECT t.id FROM tree t LEFT JOIN site_fact f ON f.site_id = t.site_id LEFT JOIN street st ON st.id = f.street_id
WHERE coalesce(t.species, '') = ANY ($1) OR coalesce(st.class::text, '') = ANY ($2)`
)

// stageChunk is how many staged rows are sent to the server at once.
const stageChunk = 4000

// DuePass runs decide over the trees of the scope and makes the open
// visits what it answers, in one transaction: new visits are added, changed ones rewritten,
// and open visits of the rules that are no longer wanted withdrawn unless they are
// in a live packet. Rows whose content is the same are not written, so a second pass writes none. decide
// must be pure: it runs on several goroutines. Trees stream by; memory does not
// grow with their number. A pass waits for the one before it. A pass as of an older day than
// the newest one over the whole city is Stale and writes nothing: it would put back
// what that one found out since (a second worker machine, a job tried again late).
func (d *DB) DuePass(ctx context.Context, asOf scheduler.Date, scope scheduler.DueScope,
	decide func(*scheduler.DueInput) []scheduler.Visit, policy int64, by scheduler.Stamp, tell scheduler.DueProgress,
) (scheduler.DueStats, error) {
	var stats scheduler.DueStats
	err := d.tx(ctx, func(tx pgx.Tx) error {
		stats = scheduler.DueStats{AsOf: asOf, PolicyID: policy}
		var pass int64
		if _, err := tx.Exec(ctx, dueLockSQL); err != nil {
			return failed("wait for the due pass before", err)
		}
		if err := refuseOlder(ctx, tx, asOf); err != nil {
			return err
		}
		if err := tx.QueryRow(ctx, stagePassSQL).Scan(&pass); err != nil {
			return failed("number due pass", err)
		}
		only, err := takeScope(ctx, tx, &scope)
		if err != nil {
			return err
		}
		p := duePass{d: d, pass: pass, asOf: asOf, only: only, decide: decide, tell: tell}
		n, err := p.stage(ctx, tx)
		if err != nil {
			return err
		}
		if stats.Written, err = mergeStage(ctx, tx, pass); err != nil {
			return err
		}
		stats.Looked, stats.Written.Unchanged = n.trees, n.same
		stats.Written.New += n.added
		stats.Written.Skipped += n.skipped
		return finishPass(ctx, tx, &stats, &scope, by)
	})
	return stats, err
}

// takeScope answers the trees to look at, nil for all. It takes the notes of
// changed trees before the trees are read: what changes while they are read is noted anew.
func takeScope(ctx context.Context, tx pgx.Tx, scope *scheduler.DueScope) ([]int64, error) {
	if scope.Trees != nil {
		return scope.Trees, nil
	}
	if scope.City() {
		_, err := tx.Exec(ctx, dueForgetSQL)
		return nil, failed("take notes of changed trees", err)
	}
	only, err := idsOf(ctx, tx, dueNotesSQL)
	if err != nil {
		return nil, failed("take notes of changed trees", err)
	}
	touched, err := touchedTrees(ctx, tx, &scope.Touch)
	if err != nil {
		return nil, err
	}
	only = append(only, touched...)
	slices.Sort(only)
	return append([]int64{}, slices.Compact(only)...), nil // not nil, which would be all
}

// touchedTrees are the trees that a change of the rules can touch, in the order of their numbers; never nil.
func touchedTrees(ctx context.Context, q querier, t *scheduler.DueTouch) ([]int64, error) {
	if t.None() {
		return []int64{}, nil
	}
	streets := make([]string, len(t.Streets))
	for i, c := range t.Streets {
		streets[i] = string(c)
	}
	touched, err := idsOf(ctx, q, dueTouchedSQL, t.Species, streets)
	if err != nil {
		return nil, failed("find trees that new rules touch", err)
	}
	slices.Sort(touched)
	return append([]int64{}, touched...), nil
}

// LastDue is the newest pass after which the whole city was as of one day under
// one policy, zero when there was none.
func (d *DB) LastDue(ctx context.Context) (r scheduler.DueRun, err error) {
	err = d.pool.QueryRow(ctx, dueLastSQL).Scan(&r.AsOf, &r.PolicyID)
	if isNoRows(err) {
		return r, nil
	}
	return r, failed("read last due run", err)
}

// refuseOlder fails with Stale when the whole city has been judged as of a later day.
func refuseOlder(ctx context.Context, tx pgx.Tx, asOf scheduler.Date) error {
	var newest scheduler.Date
	if err := tx.QueryRow(ctx, dueNewestSQL).Scan(&newest); err != nil {
		return failed("read newest due run", err)
	}
	if asOf >= newest {
		return nil
	}
	e := scheduler.Errorf(scheduler.Stale, "the visits are already as of %s; a pass as of %s would put them back", newest, asOf)
	e.Hint = "leave the day out to judge by today; calendar shows one tree without writing"
	return e
}

// finishPass counts the open visits and keeps the run. A pass that looked at
// every tree keeps the night's overdue table too; one that looked at changed trees
// leaves it as the night found it.
func finishPass(ctx context.Context, tx pgx.Tx, stats *scheduler.DueStats, scope *scheduler.DueScope, by scheduler.Stamp) error {
	rows, err := tx.Query(ctx, dueCountsSQL, scope.Trees)
	if err != nil {
		return failed("count visits", err)
	}
	var kind scheduler.WorkKind
	var state scheduler.VisitState
	var n int
	if _, err = pgx.ForEachRow(rows, []any{&kind, &state, &n}, func() error {
		stats.Count(kind, state, n)
		return nil
	}); err != nil {
		return failed("count visits", err)
	}
	city := scope.Trees == nil
	if stats.Trees = stats.Looked; city && !scope.City() {
		if err := tx.QueryRow(ctx, dueTreesSQL).Scan(&stats.Trees); err != nil {
			return failed("count trees", err)
		}
	}
	var run int64
	err = tx.QueryRow(ctx, dueRunSQL, stats.AsOf, orNull(stats.PolicyID), city, stats, by.At, by.Actor).Scan(&run)
	if err != nil {
		return failed("keep due run", err)
	}
	if scope.City() {
		if err := keepNight(ctx, tx, stats.AsOf, stats.PolicyID, run, by.At); err != nil {
			return err
		}
	}
	return audit(ctx, tx, by, "ran", "due_run", strconv.FormatInt(run, 10), stats.Written)
}
