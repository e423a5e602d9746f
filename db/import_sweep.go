package db

import (
	"context"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// stagedLife is how long an import may take. A batch that is staged for longer,
// and not held for somebody's decision, belongs to an import that was killed.
const stagedLife = 24 * time.Hour

const deadBatchesSQL = `
SELECT id FROM batch WHERE state = 'staged' AND read_rows = 0 AND started_at < $1 ORDER BY id FOR UPDATE SKIP LOCKED`

// sweepStaged discards what killed imports of any layer left behind.
func sweepStaged(ctx context.Context, tx pgx.Tx, by scheduler.Stamp) error {
	dead, err := idsOf(ctx, tx, deadBatchesSQL, by.At.Add(-stagedLife))
	if err != nil {
		return failed("find batches left behind", err)
	}
	for _, id := range dead {
		b, err := lockBatch(ctx, tx, id)
		if err != nil {
			return failed("read batch left behind", err)
		}
		if err := b.discard(ctx, tx, by); err != nil {
			return err
		}
	}
	return nil
}

// discard empties the stage of the batch and forgets it, but for its audit rows.
func (b *batchRow) discard(ctx context.Context, tx pgx.Tx, by scheduler.Stamp) error {
	q, err := sqlOf(b.layer)
	if err != nil {
		return err
	}
	if err := runAll(ctx, tx, []string{clearKeysSQL, clearFaultsSQL, q.clear, deleteBatchSQL}, b.id); err != nil {
		return failed("discard batch "+strconv.FormatInt(b.id, 10), err)
	}
	return audit(ctx, tx, by, "discard", "batch", strconv.FormatInt(b.id, 10), map[string]any{"layer": b.layer, "file": b.file})
}
