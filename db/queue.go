package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"

	"limbround/scheduler"
)

// newQueue makes a client of the job queue that works under a name; without
// workers it only inserts. Behind a transaction-mode pooler nobody can listen,
// so workers poll.
func (d *DB) newQueue(workers *river.Workers, name string) (*river.Client[pgx.Tx], error) {
	cfg := &river.Config{ID: name, Logger: d.cfg.Log, PollOnly: d.cfg.Pooled}
	if workers != nil {
		cfg.Workers = workers
		cfg.Queues = map[string]river.QueueConfig{
			river.QueueDefault:    {MaxWorkers: 2},
			scheduler.SerialQueue: {MaxWorkers: 1},
		}
		// A due run over a large city may take long; jobs watch their context.
		// The library then takes no job of a dead worker up: sweeping does.
		cfg.JobTimeout = -1
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

const aheadSQL = `
SELECT EXISTS (SELECT FROM river_job me JOIN river_job j ON j.queue = me.queue AND j.id < me.id
               WHERE me.id = $1 AND j.state NOT IN ('completed', 'cancelled', 'discarded'))`

// JobsAhead reports whether an older job of the same queue has not come to its
// end. Each worker process takes one job of the serial queue at a time; this
// keeps the order across processes.
func (d *DB) JobsAhead(ctx context.Context, id int64) (ahead bool, err error) {
	err = d.pool.QueryRow(ctx, aheadSQL, id).Scan(&ahead)
	return ahead, failed("look for jobs ahead", err)
}
