package db

import (
	"context"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	jobColumns = `
j.id, j.kind, j.args, j.state::text, j.attempt, j.max_attempts, j.created_at, j.attempted_at, j.finalized_at,
    coalesce(j.attempted_by[cardinality(j.attempted_by)], ''), j.state = 'running' AND j.metadata ? 'cancel_attempted_at',
    coalesce(j.errors[cardinality(j.errors)] ->> 'error', ''), j.metadata -> 'output', p.done, p.total, p.what, p.at
FROM river_job j LEFT JOIN job_progress p ON p.job_id = j.id AND j.state = 'running'`
	jobByIDSQL = `SELECT ` + jobColumns + ` WHERE j.id = $1`
	jobListSQL = `
SELECT ` + jobColumns + `
WHERE ($1::text = '' OR j.state::text = $1) AND ($2::bigint = 0 OR j.id < $2) ORDER BY j.id DESC LIMIT $3`
	jobCountSQL = `SELECT count(*) FROM river_job j WHERE $1::text = '' OR j.state::text = $1`
	progressSQL = `
INSERT INTO job_progress (job_id, done, total, what, at) VALUES ($1, $2, $3, $4, $5)
ON CONFLICT (job_id) DO UPDATE SET done = excluded.done, total = excluded.total, what = excluded.what, at = excluded.at`
	oldProgressSQL = `
DELETE FROM job_progress p WHERE NOT EXISTS (SELECT FROM river_job j WHERE j.id = p.job_id AND j.state = 'running')`
)

// JobStatus answers what is known of a job; NotFound when it never was or was
// cleaned away.
func (d *DB) JobStatus(ctx context.Context, id int64) (scheduler.JobStatus, error) {
	return readJob(ctx, d.pool, id)
}

func readJob(ctx context.Context, q querier, id int64) (scheduler.JobStatus, error) {
	rows, err := q.Query(ctx, jobByIDSQL, id)
	if err != nil {
		return scheduler.JobStatus{}, failed("read job", err)
	}
	s, err := pgx.CollectExactlyOneRow(rows, scanJob)
	if isNoRows(err) {
		return s, scheduler.Errorf(scheduler.NotFound, "there is no job %d", id)
	}
	return s, failed("read job "+strconv.FormatInt(id, 10), err)
}

// JobList lists at most limit jobs of a state, or of any when it is empty,
// newest first and older than before (0 for all), and answers how many there are.
func (d *DB) JobList(ctx context.Context, state string, before int64, limit int) (list []scheduler.JobStatus, matched int, err error) {
	if err := d.pool.QueryRow(ctx, jobCountSQL, state).Scan(&matched); err != nil {
		return nil, 0, failed("count jobs", err)
	}
	rows, err := d.pool.Query(ctx, jobListSQL, state, before, limit)
	if err != nil {
		return nil, 0, failed("list jobs", err)
	}
	list, err = pgx.CollectRows(rows, scanJob)
	return list, matched, failed("list jobs", err)
}

func scanJob(r pgx.CollectableRow) (scheduler.JobStatus, error) {
	var s scheduler.JobStatus
	var done, total *int64 // all four are absent, or none
	var what *string
	var at *time.Time
	err := r.Scan(&s.ID, &s.Kind, &s.Args, &s.State, &s.Attempt, &s.MaxAttempts, &s.CreatedAt, &s.StartedAt, &s.FinishedAt,
		&s.Worker, &s.Cancelling, &s.Error, &s.Output, &done, &total, &what, &at)
	if err == nil && done != nil {
		s.Progress = &scheduler.JobProgress{Done: *done, Total: *total, What: *what, At: *at}
	}
	return s, err
}

// CancelJob ends a job: one that waits never runs, and the context of one that
// runs is cancelled, on whichever worker. Jobs write in one transaction, so
// a cancelled one has written all or nothing. A finished job is a Clash. The status
// of a running job says Cancelling until its worker has ended it.
func (d *DB) CancelJob(ctx context.Context, id int64, by scheduler.Stamp) (scheduler.JobStatus, error) {
	var s scheduler.JobStatus
	err := d.tx(ctx, func(tx pgx.Tx) error {
		before, err := readJob(ctx, tx, id)
		if err != nil {
			return err
		}
		if before.Finished() {
			return scheduler.Errorf(scheduler.Clash, "job %d is %s already", id, before.State)
		}
		if _, err := d.queue.JobCancelTx(ctx, tx, id); err != nil {
			return failed("cancel job", err)
		}
		if s, err = readJob(ctx, tx, id); err != nil {
			return err
		}
		return audit(ctx, tx, by, "cancel", "job", strconv.FormatInt(id, 10), map[string]any{"kind": s.Kind, "was": before.State})
	})
	return s, err
}

// TellProgress notes how far a running job has come.
func (d *DB) TellProgress(ctx context.Context, job int64, p scheduler.JobProgress) error {
	_, err := d.pool.Exec(ctx, progressSQL, job, p.Done, p.Total, p.What, p.At)
	return failed("note progress of job", err)
}
