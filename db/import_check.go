package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// checkInput is what a layer's own check may need to know.
type checkInput struct {
	batch int64
	srid  int
	today scheduler.Date
}

const (
	// A whole file is sorted and joined at once, in memory up to this much; and
	// compiling a statement that runs once costs more than it saves.
	makeRoomSQL = `SELECT set_config('work_mem', '128MB', true), set_config('jit', 'off', true)`

	clearKeysSQL   = `DELETE FROM stage_key WHERE batch_id = $1`
	clearFaultsSQL = `DELETE FROM stage_fault WHERE batch_id = $1`
	citySRIDSQL    = `SELECT coalesce(srid, 0) FROM city`
	markCheckedSQL = `UPDATE batch SET checked_after = $2 WHERE id = $1`
	// What was applied or undone so far in the layers that a check reads.
	relatedSQL = `
SELECT count(applied_at) + count(undone_at) FROM batch WHERE layer = ANY($1)`

	faultNoKeySQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT batch_id, line, 'ref', '', 'every row has a key' FROM stage_key WHERE batch_id = $1 AND coalesce(btrim(ref), '') = ''`
	faultTwiceSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT k.batch_id, k.line, 'ref', k.ref, format('a key stands once in a file; line %s came first and counts', f.line)
FROM (SELECT ref, min(line) AS line FROM stage_key WHERE batch_id = $1 GROUP BY ref HAVING count(*) > 1) f
JOIN stage_key k ON k.batch_id = $1 AND k.ref = f.ref AND k.line > f.line`
	faultShapeSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT batch_id, line, 'position', left(ST_AsText(raw, 6), 120),
       CASE WHEN ST_IsEmpty(metric) OR $2 <> 'MULTIPOLYGON' THEN 'the shape is not usable: this layer wants a ' || lower($2)
            ELSE 'an area covers at least one square metre; this one could not be made valid' END
FROM stage_key
WHERE batch_id = $1 AND metric IS NOT NULL
  AND (GeometryType(metric) <> $2 OR ST_IsEmpty(metric) OR ($2 = 'MULTIPOLYGON' AND ST_Area(metric) < 1))`
	markFaultsSQL = `
UPDATE stage_key k SET verdict = 'fault'
WHERE k.batch_id = $1 AND k.verdict IS NULL
  AND k.line IN (SELECT f.line FROM stage_fault f WHERE f.batch_id = $1)`
)

// CheckStaged compares the staged rows with each other and with the database:
// each ends as new, changed, unchanged, merged or at fault. It writes nothing but
// the stage and may be repeated. today is the city's civil date.
func (d *DB) CheckStaged(ctx context.Context, batch int64, layer scheduler.Layer, today scheduler.Date) (scheduler.Diff, error) {
	q, err := sqlOf(layer.Name)
	if err != nil {
		return scheduler.Diff{}, err
	}
	in := checkInput{batch: batch, today: today}
	err = d.tx(ctx, func(tx pgx.Tx) error { return placeStaged(ctx, tx, &in, &layer, &q) })
	if err != nil {
		return scheduler.Diff{}, err
	}
	if err := d.analyzeStage(ctx, "stage_key", "stage_"+layer.Name); err != nil {
		return scheduler.Diff{}, err
	}
	var diff scheduler.Diff
	err = d.tx(ctx, func(tx pgx.Tx) error {
		if err := judgeStaged(ctx, tx, in, &layer, &q); err != nil {
			return err
		}
		diff, err = readDiff(ctx, tx, batch, &q)
		return err
	})
	if err != nil {
		return diff, err
	}
	return diff, d.analyzeStage(ctx, "stage_key") // the verdicts are what applying picks rows by
}

// analyzeStage gives the planner the figures of tables that were filled a
// moment ago, so that it does not take a million rows for a few.
func (d *DB) analyzeStage(ctx context.Context, tables ...string) error {
	for _, table := range tables {
		if _, err := d.pool.Exec(ctx, "ANALYZE "+pgx.Identifier{table}.Sanitize()); err != nil {
			return failed("analyze stage", err)
		}
	}
	return nil
}

// placeStaged finds for each row its target and its place in the city's system.
func placeStaged(ctx context.Context, tx pgx.Tx, in *checkInput, layer *scheduler.Layer, q *layerSQL) error {
	if _, err := tx.Exec(ctx, makeRoomSQL); err != nil {
		return err
	}
	b, err := lockBatch(ctx, tx, in.batch)
	if err != nil {
		return err
	}
	if err := b.mustBe("staged"); err != nil {
		return err
	}
	if b.layer != layer.Name {
		return scheduler.Errorf(scheduler.Clash, "batch %d is of layer %s, not %s", in.batch, b.layer, layer.Name)
	}
	if err := runAll(ctx, tx, []string{clearKeysSQL, clearFaultsSQL}, in.batch); err != nil {
		return err
	}
	var related int64
	if err := tx.QueryRow(ctx, relatedSQL, q.related(layer.Name)).Scan(&related); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, markCheckedSQL, in.batch, related); err != nil {
		return err
	}
	if q.geometry == "" {
		_, err = tx.Exec(ctx, q.key, in.batch)
		return err
	}
	if err := tx.QueryRow(ctx, citySRIDSQL).Scan(&in.srid); err != nil {
		return err
	}
	if in.srid == 0 {
		return &scheduler.Error{
			Kind: scheduler.Clash, Message: "the city has no coordinate system yet",
			Hint: "set the city's metric coordinate system before the first import",
		}
	}
	_, err = tx.Exec(ctx, q.key, in.batch, in.srid)
	return err
}

// judgeStaged finds the faults and gives each row its verdict.
func judgeStaged(ctx context.Context, tx pgx.Tx, in checkInput, layer *scheduler.Layer, q *layerSQL) error {
	if _, err := tx.Exec(ctx, makeRoomSQL); err != nil {
		return err
	}
	if err := runAll(ctx, tx, []string{faultNoKeySQL, faultTwiceSQL}, in.batch); err != nil {
		return err
	}
	if q.geometry != "" {
		if err := findStray(ctx, tx, in, layer.Name); err != nil {
			return fmt.Errorf("check positions: %w", err)
		}
		if _, err := tx.Exec(ctx, faultShapeSQL, in.batch, q.geometry); err != nil {
			return fmt.Errorf("check shapes: %w", err)
		}
	}
	if err := runAll(ctx, tx, q.faults, in.batch); err != nil {
		return fmt.Errorf("check %s: %w", layer.Name, err)
	}
	if q.check != nil {
		if err := q.check(ctx, tx, in); err != nil {
			return fmt.Errorf("check %s: %w", layer.Name, err)
		}
	}
	return runAll(ctx, tx, []string{markFaultsSQL, q.verdict}, in.batch)
}

// related lists the layers whose batches can change the verdict on this one.
func (q *layerSQL) related(layer string) []string { return append([]string{layer}, q.needs...) }

// runAll runs statements that take the same arguments, one after the other.
func runAll(ctx context.Context, tx pgx.Tx, statements []string, args ...any) error {
	for _, s := range statements {
		if _, err := tx.Exec(ctx, s, args...); err != nil {
			return err
		}
	}
	return nil
}
