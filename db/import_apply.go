package db

import (
	"context"
	"fmt"
	"strconv"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// importLock lets one batch at a time be applied or taken back, so that what a
// check found still holds.
const importLock = 7_201_964_302

const (
	lockImportSQL = `SELECT pg_advisory_xact_lock($1)`
	// The counts a check left; rows that were lost with the stage are missed here.
	acceptedSQL = `
SELECT count(*) FILTER (WHERE verdict <> 'fault'), count(*) FILTER (WHERE verdict IN ('new', 'changed'))
FROM stage_key WHERE batch_id = $1`
	batchAppliedSQL = `
UPDATE batch SET state = 'applied', applied_at = $2, actor = $3, read_rows = $4, accepted = $5, rejected = $6, merged = $7,
    unchanged = $8 WHERE id = $1`
	nearChangedSQL = `
SELECT DISTINCT s.id FROM site s JOIN (
    SELECT metric AS geom FROM stage_key WHERE batch_id = $1 AND verdict IN ('new', 'changed')
    UNION ALL SELECT was FROM stage_key WHERE batch_id = $1 AND verdict = 'changed') g ON ST_DWithin(s.geom, g.geom, $2::float8)
ORDER BY s.id`
)

// ApplyBatch moves a checked batch into the city's tables, reduces the sites
// that it touches, and empties the stage: all in one transaction. Rows that did
// not change are not written. It fails with Clash when the batch was not checked
// or is not staged any more, and with Stale when another import was applied or
// taken back since the check.
func (d *DB) ApplyBatch(ctx context.Context, batch int64, layer scheduler.Layer, counts scheduler.BatchCounts, by scheduler.Stamp) error {
	q, err := sqlOf(layer.Name)
	if err != nil {
		return err
	}
	return d.tx(ctx, func(tx pgx.Tx) error {
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
		writes, err := stillChecked(ctx, tx, &b, &q, layer.Name, counts)
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, batchAppliedSQL, batch, by.At, by.Actor,
			counts.Read, counts.Accepted, counts.Rejected, counts.Merged, counts.Unchanged)
		if err != nil {
			return err
		}
		if writes {
			if err := moveStaged(ctx, tx, batch, &q); err != nil {
				return fmt.Errorf("apply %s: %w", layer.Name, err)
			}
		}
		if err := runAll(ctx, tx, []string{clearKeysSQL, clearFaultsSQL, q.clear}, batch); err != nil {
			return err
		}
		return audit(ctx, tx, by, "apply", "batch", strconv.FormatInt(batch, 10),
			map[string]any{"layer": b.layer, "file": b.file, "counts": counts})
	})
}

// stillChecked refuses a batch whose check does not hold any more, and reports
// whether there is anything to write.
func stillChecked(ctx context.Context, tx pgx.Tx, b *batchRow, q *layerSQL, layer string, counts scheduler.BatchCounts) (bool, error) {
	if err := b.mustBe("staged"); err != nil {
		return false, err
	}
	if b.layer != layer || b.checkedAfter == nil {
		return false, scheduler.Errorf(scheduler.Clash, "batch %d of layer %s has not been checked as %s", b.id, b.layer, layer)
	}
	var related, accepted, writes int64
	if err := tx.QueryRow(ctx, relatedSQL, q.related(layer)).Scan(&related); err != nil {
		return false, err
	}
	if err := tx.QueryRow(ctx, acceptedSQL, b.id).Scan(&accepted, &writes); err != nil {
		return false, err
	}
	stale := &scheduler.Error{Kind: scheduler.Stale, Hint: "import the file again"}
	if related != *b.checkedAfter {
		stale.Message = fmt.Sprintf("another import was applied or taken back since batch %d was checked", b.id)
		return false, stale
	}
	if accepted != counts.Accepted {
		stale.Message = fmt.Sprintf("batch %d holds %d good rows, %d were expected", b.id, accepted, counts.Accepted)
		return false, stale
	}
	return writes > 0, nil
}

func moveStaged(ctx context.Context, tx pgx.Tx, batch int64, q *layerSQL) error {
	var touched []int64
	var err error
	if q.reach > 0 {
		if touched, err = idsOf(ctx, tx, nearChangedSQL, batch, q.reach); err != nil {
			return fmt.Errorf("find sites near: %w", err)
		}
	}
	for _, part := range [][]string{q.apply, {q.insert}, q.after} {
		if err := runAll(ctx, tx, part, batch); err != nil {
			return err
		}
	}
	if q.touched != "" {
		if touched, err = idsOf(ctx, tx, q.touched, batch); err != nil {
			return fmt.Errorf("find touched sites: %w", err)
		}
	}
	_, err = reduceSites(ctx, tx, touched)
	return err
}

func idsOf(ctx context.Context, q querier, sql string, args ...any) ([]int64, error) {
	rows, err := q.Query(ctx, sql, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[int64])
}
