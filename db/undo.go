package db

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	// A row that this batch changed and a later one changed again cannot go back
	// alone. seq runs on across batches.
	changedLaterSQL = `
SELECT 'changed again by a later import', count(DISTINCT (a.table_name, a.row_id)) FROM batch_change a
JOIN batch_change b ON b.table_name = a.table_name AND b.row_id = a.row_id AND b.seq > a.seq AND b.batch_id <> a.batch_id
WHERE a.batch_id = $1`
	dropChangesSQL = `DELETE FROM batch_change WHERE batch_id = $1`
	batchUndoneSQL = `UPDATE batch SET state = 'undone', undone_at = $2 WHERE id = $1`
)

// UndoBatch takes an applied batch back, row for row: what it made is removed,
// what it changed is as it was, and what was derived from either is derived
// anew. It is refused with Clash, naming each thing that stands in the way and
// how often, when later work rests on the batch.
func (d *DB) UndoBatch(ctx context.Context, batch int64, by scheduler.Stamp) (scheduler.UndoResult, error) {
	var out scheduler.UndoResult
	err := d.tx(ctx, func(tx pgx.Tx) error {
		out = scheduler.UndoResult{Batch: batch}
		if _, err := tx.Exec(ctx, lockImportSQL, int64(importLock)); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, makeRoomSQL); err != nil {
			return err
		}
		b, err := lockBatch(ctx, tx, batch)
		if err != nil {
			return err
		}
		if err := b.mustBe("applied"); err != nil {
			return err
		}
		q, err := sqlOf(b.layer)
		if err != nil {
			return err
		}
		out.Layer = b.layer
		if err := refuseUndo(ctx, tx, batch, b.layer, &q.undo); err != nil {
			return err
		}
		if err := undoRows(ctx, tx, batch, &q, &out); err != nil {
			return fmt.Errorf("undo %s: %w", b.layer, err)
		}
		if _, err := tx.Exec(ctx, batchUndoneSQL, batch, by.At); err != nil {
			return err
		}
		return audit(ctx, tx, by, "undo", "batch", strconv.FormatInt(batch, 10), out)
	})
	return out, err
}

// refuseUndo answers Clash when anything stands in the way.
func refuseUndo(ctx context.Context, tx pgx.Tx, batch int64, layer string, u *undoSQL) error {
	type obstacle struct {
		What string
		N    int64
	}
	var found []string
	for _, sql := range []string{u.blocked, changedLaterSQL} {
		list, err := collect[obstacle](ctx, tx, sql, batch)
		if err != nil {
			return fmt.Errorf("find what rests on the batch: %w", err)
		}
		for _, o := range list {
			if o.N > 0 {
				found = append(found, fmt.Sprintf("%d %s", o.N, o.What))
			}
		}
	}
	if len(found) == 0 {
		return nil
	}
	return &scheduler.Error{
		Kind: scheduler.Clash, Message: fmt.Sprintf("batch %d of %s cannot be taken back: rows in use: %s", batch, layer, strings.Join(found, "; ")),
		Hint: "take the later imports back first; what was worked on stays",
	}
}

func undoRows(ctx context.Context, tx pgx.Tx, batch int64, q *layerSQL, out *scheduler.UndoResult) error {
	var touched []int64
	var err error
	switch {
	case q.undo.near == "":
	case q.reach > 0:
		touched, err = idsOf(ctx, tx, q.undo.near, batch, q.reach)
	default:
		touched, err = idsOf(ctx, tx, q.undo.near, batch)
	}
	if err != nil {
		return fmt.Errorf("find sites near: %w", err)
	}
	if err := runAll(ctx, tx, q.undo.derived, batch); err != nil {
		return err
	}
	for i, sql := range q.undo.removed {
		tag, err := tx.Exec(ctx, sql, batch)
		if err != nil {
			return err
		}
		if i == 0 { // the layer's own rows; what follows goes with them
			out.Removed = int(tag.RowsAffected())
		}
	}
	for _, sql := range q.undo.restored {
		tag, err := tx.Exec(ctx, sql, batch)
		if err != nil {
			return err
		}
		out.Restored += int(tag.RowsAffected())
	}
	if _, err := tx.Exec(ctx, dropChangesSQL, batch); err != nil {
		return err
	}
	_, err = reduceSites(ctx, tx, touched)
	return err
}
