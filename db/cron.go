package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	lastRunSQL = `SELECT max(civil_date) FROM cron_run WHERE name = $1`
	addRunSQL  = `INSERT INTO cron_run (name, civil_date, enqueued_at) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING`
)

// LastRun is the newest civil date for which the named schedule was queued,
// zero when it never was.
func (d *DB) LastRun(ctx context.Context, name string) (day scheduler.Date, err error) {
	err = d.pool.QueryRow(ctx, lastRunSQL, name).Scan(&day)
	return day, failed("read last run of "+name, err)
}

// EnqueueOnce queues the job of a schedule for one civil date, unless this or
// another server has done so before; it answers whether it did. The mark and
// the job are written together or not at all.
func (d *DB) EnqueueOnce(ctx context.Context, name string, day scheduler.Date, at time.Time, args scheduler.JobArgs) (did bool, err error) {
	err = d.tx(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, addRunSQL, name, day, at)
		if err != nil {
			return failed("mark run of "+name, err)
		}
		if did = tag.RowsAffected() == 1; !did {
			return nil
		}
		id, err := d.EnqueueTx(ctx, tx, args)
		if err != nil {
			return err
		}
		by := scheduler.Stamp{Actor: "schedule " + name, At: at}
		return audit(ctx, tx, by, "enqueue", "job", args.Kind(), map[string]any{"civil_date": day, "job": id})
	})
	return did && err == nil, err
}
