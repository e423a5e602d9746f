package db

import (
	"context"
	"fmt"
	"strconv"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"limbround/scheduler"
)

const (
	batchColumns = `
    id, layer, file, actor, state::text, started_at, applied_at, undone_at, read_rows, accepted, rejected, merged, unchanged`
	batchByIDSQL   = `SELECT` + batchColumns + ` FROM batch WHERE id = $1`
	listBatchesSQL = `SELECT` + batchColumns + ` FROM batch ORDER BY id DESC`
	holdBatchSQL   = `
UPDATE batch SET read_rows = $2, accepted = $3, rejected = $4, merged = $5, unchanged = $6
WHERE id = $1 AND state = 'staged' AND checked_after IS NOT NULL`
)

// Batch returns one batch; NotFound when there is none of that number.
func (d *DB) Batch(ctx context.Context, id int64) (scheduler.Batch, error) {
	b, err := scanBatch(d.pool.QueryRow(ctx, batchByIDSQL, id))
	if isNoRows(err) {
		return b, scheduler.Errorf(scheduler.NotFound, "there is no batch %d", id)
	}
	return b, failed(fmt.Sprintf("read batch %d", id), err)
}

// ListBatches returns every batch, newest first.
func (d *DB) ListBatches(ctx context.Context) ([]scheduler.Batch, error) {
	rows, err := d.pool.Query(ctx, listBatchesSQL)
	if err != nil {
		return nil, failed("list batches", err)
	}
	list, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (scheduler.Batch, error) { return scanBatch(r) })
	return list, failed("list batches", err)
}

// scanBatch takes one row of batchColumns.
func scanBatch(row pgx.Row) (scheduler.Batch, error) {
	var b scheduler.Batch
	var applied, undone pgtype.Timestamptz
	err := row.Scan(&b.ID, &b.Layer, &b.File, &b.Actor, &b.State, &b.Started, &applied, &undone,
		&b.Counts.Read, &b.Counts.Accepted, &b.Counts.Rejected, &b.Counts.Merged, &b.Counts.Unchanged)
	b.Applied, b.Undone = applied.Time, undone.Time
	return b, err
}

// HoldBatch writes the counts of its check to a staged batch, which then waits
// for someone to apply or discard it. A batch that is not staged and checked is
// a Clash. The stage does not outlive a crash of the database; applying then
// says so.
func (d *DB) HoldBatch(ctx context.Context, batch int64, n scheduler.BatchCounts, by scheduler.Stamp) error {
	return d.tx(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, holdBatchSQL, batch, n.Read, n.Accepted, n.Rejected, n.Merged, n.Unchanged)
		if err != nil {
			return failed("hold batch", err)
		}
		if tag.RowsAffected() == 0 {
			return scheduler.Errorf(scheduler.Clash, "batch %d is not staged and checked", batch)
		}
		return audit(ctx, tx, by, "hold", "batch", strconv.FormatInt(batch, 10), n)
	})
}
