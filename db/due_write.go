package db

import (
	"context"
	"slices"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// newVisit is a visit to add, with the edit counter of its tree when it was read.
type newVisit struct {
	tree     int64
	revision int
	row      []any
}

// dueWriter gathers what the pass writes and sends it in large pieces: new
// visits straight into their table, changes and withdrawals onto the stage.
type dueWriter struct {
	tx   pgx.Tx
	n    *passed
	add  []newVisit
	rows [][]any
}

// dueHoldSQL locks trees in share and answers their edit counters. Whoever opens
// a visit of a tree moves its counter under the tree's lock: a tree whose counter
// stands still has no open visit that its reader has not seen.
const dueHoldSQL = `
SELECT t.id, t.revision FROM tree t WHERE t.id = ANY ($1) ORDER BY t.id FOR SHARE`

func (w *dueWriter) take(ctx context.Context, c *dueChunk) error {
	w.add, w.rows = append(w.add, c.add...), append(w.rows, c.rows...)
	if len(w.add) >= stageChunk || len(w.rows) >= stageChunk {
		return w.flush(ctx)
	}
	return nil
}

func (w *dueWriter) flush(ctx context.Context) error {
	if err := w.addVisits(ctx); err != nil {
		return err
	}
	if err := copyStage(ctx, w.tx, w.rows); err != nil {
		return err
	}
	clear(w.rows)
	w.rows = w.rows[:0]
	return nil
}

// addVisits copies the new visits, but for those of trees that moved on since
// they were read: whoever moved them made their visits from newer facts.
func (w *dueWriter) addVisits(ctx context.Context) error {
	if len(w.add) == 0 {
		return nil
	}
	ids := make([]int64, 0, len(w.add))
	for i := range w.add {
		if n := len(ids); n == 0 || ids[n-1] != w.add[i].tree {
			ids = append(ids, w.add[i].tree)
		}
	}
	rows, err := w.tx.Query(ctx, dueHoldSQL, ids)
	if err != nil {
		return failed("lock trees", err)
	}
	now := make(map[int64]int, len(ids))
	var id int64
	var revision int
	if _, err := pgx.ForEachRow(rows, []any{&id, &revision}, func() error {
		now[id] = revision
		return nil
	}); err != nil {
		return failed("lock trees", err)
	}
	before := len(w.add)
	w.add = slices.DeleteFunc(w.add, func(v newVisit) bool { return now[v.tree] != v.revision })
	_, err = w.tx.CopyFrom(ctx, pgx.Identifier{"visit"}, visitColumns,
		pgx.CopyFromSlice(len(w.add), func(i int) ([]any, error) { return w.add[i].row, nil }))
	if err != nil {
		return failed("add visits", err)
	}
	w.n.added += len(w.add)
	w.n.skipped += before - len(w.add)
	clear(w.add)
	w.add = w.add[:0]
	return nil
}

// visitColumns are the columns of a new visit, in the order of visitRow.
var visitColumns = slices.Concat([]string{"tree_id"}, stageColumns[5:])

func visitRow(asOf scheduler.Date, c *scheduler.VisitChange) ([]any, error) {
	row := make([]any, 1, len(visitColumns))
	row[0] = c.Visit.TreeID
	return appendVisit(row, asOf, c)
}
