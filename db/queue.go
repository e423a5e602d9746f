package db

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"github.com/jackc/pgx/v5"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivertype"

	"limbround/scheduler"
)

// newQueue makes a client of the job queue; without workers it only inserts.
// Behind a transaction-mode pooler nobody can listen, so workers poll.
func (d *DB) newQueue(workers *river.Workers) (*river.Client[pgx.Tx], error) {
	cfg := &river.Config{Logger: d.cfg.Log, PollOnly: d.cfg.Pooled}
	if workers != nil {
		cfg.Workers = workers
		cfg.Queues = map[string]river.QueueConfig{
			river.QueueDefault:    {MaxWorkers: 2},
			scheduler.SerialQueue: {MaxWorkers: 1},
		}
		cfg.JobTimeout = -1 // a due run over a large city may take long; jobs watch their context
	}
	c, err := river.NewClient(riverpgxv5.New(d.pool), cfg)
	if err != nil {
		return nil, fmt.Errorf("make queue client: %w", err)
	}
	return c, nil
}

// Enqueue queues a job and answers its id. A job whose arguments forbid a
// duplicate answers the id of the one that is waiting already.
func (d *DB) Enqueue(ctx context.Context, args scheduler.JobArgs) (id int64, err error) {
	err = d.tx(ctx, func(tx pgx.Tx) error {
		id, err = d.EnqueueTx(ctx, tx, args)
		return err
	})
	return id, err
}

// EnqueueTx queues a job inside a transaction: it exists when the
// transaction commits, and never otherwise.
func (d *DB) EnqueueTx(ctx context.Context, tx pgx.Tx, args scheduler.JobArgs) (int64, error) {
	res, err := d.queue.InsertTx(ctx, tx, args, nil)
	if err != nil {
		return 0, failed("queue job "+args.Kind(), err)
	}
	return res.Job.ID, nil
}

// JobStatus answers what is known of a job; NotFound when it never was or was
// cleaned away.
func (d *DB) JobStatus(ctx context.Context, id int64) (scheduler.JobStatus, error) {
	row, err := d.queue.JobGet(ctx, id)
	if errors.Is(err, rivertype.ErrNotFound) {
		return scheduler.JobStatus{}, scheduler.Errorf(scheduler.NotFound, "there is no job %d", id)
	}
	if err != nil {
		return scheduler.JobStatus{}, failed("read job "+strconv.FormatInt(id, 10), err)
	}
	s := scheduler.JobStatus{
		ID: row.ID, Kind: row.Kind, State: string(row.State), Attempt: row.Attempt, MaxAttempts: row.MaxAttempts,
		CreatedAt: row.CreatedAt, StartedAt: row.AttemptedAt, FinishedAt: row.FinalizedAt, Output: row.Output(),
	}
	if n := len(row.Errors); n > 0 {
		s.Error = row.Errors[n-1].Error
	}
	return s, nil
}

// StartWorkers runs queued jobs in this process until stop is called, which
// waits for running jobs as long as its context allows and then cancels them.
func (d *DB) StartWorkers(ctx context.Context, workers *river.Workers) (stop func(context.Context) error, err error) {
	c, err := d.newQueue(workers)
	if err != nil {
		return nil, err
	}
	// The workers outlive the call; stop ends them.
	if err := c.Start(context.WithoutCancel(ctx)); err != nil {
		return nil, failed("start workers", err)
	}
	return func(ctx context.Context) error {
		err := c.Stop(ctx)
		if err != nil && ctx.Err() != nil {
			err = c.StopAndCancel(context.WithoutCancel(ctx))
		}
		return failed("stop workers", err)
	}, nil
}
