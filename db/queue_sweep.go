package db

import (
	"context"
	"maps"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
)

const (
	otherWorkersSQL = `
SELECT DISTINCT attempted_by[cardinality(attempted_by)] FROM river_job
WHERE state = 'running' AND cardinality(attempted_by) > 0 AND attempted_by[cardinality(attempted_by)] <> $1`
	// The attempt was counted when the job was taken. A job that was to be
	// cancelled has ended, and one that has killed its last worker is given up.
	takeUpSQL = `
UPDATE river_job SET
    state = CASE WHEN metadata ? 'cancel_attempted_at' THEN 'cancelled'
                 WHEN attempt >= max_attempts THEN 'discarded' ELSE 'available' END::river_job_state,
    finalized_at = CASE WHEN metadata ? 'cancel_attempted_at' OR attempt >= max_attempts THEN now() END,
    scheduled_at = now(),
    errors = array_append(errors, jsonb_build_object('at', now(), 'attempt', attempt, 'trace', '',
        'error', format('worker %s ended while it ran the job', $1::text)))
WHERE state = 'running' AND attempted_by[cardinality(attempted_by)] = $1
RETURNING id`
)

const sweepEvery = 2 * time.Second

// sweeper takes up the jobs of workers that are gone. Every worker sweeps: no
// leader has to be alive for it.
type sweeper struct {
	d    *DB
	gone map[string]time.Time // names whose lock is free, and since when it was seen so
}

// sweep looks once. own is the name under which this process works.
func (s *sweeper) sweep(ctx context.Context, own string, at time.Time) error {
	rows, err := s.d.pool.Query(ctx, otherWorkersSQL, own)
	if err != nil {
		return failed("list running jobs", err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return failed("list running jobs", err)
	}
	maps.DeleteFunc(s.gone, func(name string, _ time.Time) bool { return !slices.Contains(names, name) })
	for _, name := range names {
		if err := s.look(ctx, name, at); err != nil {
			return err
		}
	}
	_, err = s.d.pool.Exec(ctx, oldProgressSQL)
	return failed("clear progress of ended jobs", err)
}

// look takes the jobs of one name up when its lock has been free long enough.
// When two sweepers look at once, the second finds no running job of that name.
func (s *sweeper) look(ctx context.Context, name string, at time.Time) error {
	return s.d.tx(ctx, func(tx pgx.Tx) error {
		var free bool
		if err := tx.QueryRow(ctx, lifeGoneSQL, name).Scan(&free); err != nil {
			return failed("look for worker", err)
		}
		if !free {
			delete(s.gone, name)
			return nil
		}
		since, known := s.gone[name]
		if !known {
			s.gone[name] = at
			return nil
		}
		if at.Sub(since) < goneFor {
			return nil
		}
		rows, err := tx.Query(ctx, takeUpSQL, name)
		if err != nil {
			return failed("take up jobs of a lost worker", err)
		}
		ids, err := pgx.CollectRows(rows, pgx.RowTo[int64])
		if err == nil && len(ids) > 0 {
			s.d.cfg.Log.Warn("a worker is gone, its jobs are taken up", "worker", name, "jobs", ids)
		}
		return failed("take up jobs of a lost worker", err)
	})
}
