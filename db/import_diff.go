package db

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	verdictsSQL = `
SELECT count(*) FILTER (WHERE verdict = 'new'), count(*) FILTER (WHERE verdict = 'changed'),
       count(*) FILTER (WHERE verdict = 'unchanged'), count(*) FILTER (WHERE verdict = 'merged')
FROM stage_key WHERE batch_id = $1`
	stageFaultsSQL = `
SELECT line, field, value, rule FROM stage_fault WHERE batch_id = $1 ORDER BY line, field, rule`
	mergesSQL = `
SELECT line, ref, into_ref, why FROM stage_key WHERE batch_id = $1 AND verdict = 'merged' ORDER BY line`
)

// readDiff sums up the verdicts of a checked batch.
func readDiff(ctx context.Context, tx pgx.Tx, batch int64, q *layerSQL) (scheduler.Diff, error) {
	var diff scheduler.Diff
	err := tx.QueryRow(ctx, verdictsSQL, batch).Scan(&diff.New, &diff.Changed, &diff.Unchanged, &diff.Merged)
	if err != nil {
		return diff, fmt.Errorf("count verdicts: %w", err)
	}
	if diff.Faults, err = collect[scheduler.Fault](ctx, tx, stageFaultsSQL, batch); err != nil {
		return diff, fmt.Errorf("read faults: %w", err)
	}
	if diff.MergedInto, err = collect[scheduler.Merge](ctx, tx, mergesSQL, batch); err != nil {
		return diff, fmt.Errorf("read merges: %w", err)
	}
	if diff.Changed > 0 && q.examples != "" {
		if diff.Examples, err = readExamples(ctx, tx, batch, q.examples); err != nil {
			return diff, fmt.Errorf("read examples: %w", err)
		}
	}
	return diff, nil
}

func collect[T any](ctx context.Context, tx pgx.Tx, sql string, args ...any) ([]T, error) {
	rows, err := tx.Query(ctx, sql, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[T])
}

// example is a changed row before and after, fields by name.
type example struct {
	Line          int
	Ref           string
	Before, After map[string]any
	Moved         float64 // metres
}

func readExamples(ctx context.Context, tx pgx.Tx, batch int64, sql string) ([]scheduler.Change, error) {
	list, err := collect[example](ctx, tx, sql, batch)
	if err != nil {
		return nil, err
	}
	var out []scheduler.Change
	for _, e := range list {
		for _, field := range slices.Sorted(maps.Keys(e.After)) {
			before, after := shown(e.Before[field]), shown(e.After[field])
			if before != after {
				out = append(out, scheduler.Change{Line: e.Line, Ref: e.Ref, Field: field, Before: before, After: after})
			}
		}
		if e.Moved > 0 {
			out = append(out, scheduler.Change{Line: e.Line, Ref: e.Ref, Field: "position", After: fmt.Sprintf("moved by %.2f m", e.Moved)})
		}
	}
	return out, nil
}

func shown(v any) string {
	if v == nil {
		return ""
	}
	return fmt.Sprint(v)
}
