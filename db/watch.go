package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	watchOfTreeSQL = `
SELECT id, tree_id, letter, what, height_mm, coalesce(side::text, ''), diameter_mm, stem_diameter_mm, included_bark, done,
       intent, reduced_on, seen_on, next_check, resolved, record_id::text, place
FROM watch_item WHERE tree_id = $1 AND ($2 OR NOT resolved) ORDER BY id`
	watchOpenSQL = `
SELECT id, tree_id, letter, what, height_mm, coalesce(side::text, ''), diameter_mm, stem_diameter_mm, included_bark, done,
       intent, reduced_on, seen_on, next_check, resolved, record_id::text, place
FROM watch_item WHERE NOT resolved AND ($1::bigint[] IS NULL OR tree_id = ANY ($1)) ORDER BY tree_id, id`
	watchInsertSQL = `
INSERT INTO watch_item (tree_id, letter, what, height_mm, side, diameter_mm, stem_diameter_mm, included_bark, done, intent,
    reduced_on, seen_on, next_check, resolved, record_id, place)
VALUES ($1, $2, $3, $4, nullif($5, '')::tree_side, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`
	watchUpdateSQL = `
UPDATE watch_item SET what = $2, height_mm = $3, side = nullif($4, '')::tree_side, diameter_mm = $5, stem_diameter_mm = $6,
    included_bark = $7, done = $8, intent = $9, reduced_on = $10, seen_on = $11, next_check = $12, resolved = $13
WHERE id = $1`
)

func readWatch(ctx context.Context, q querier, tree int64, all bool) ([]scheduler.WatchItem, error) {
	rows, err := q.Query(ctx, watchOfTreeSQL, tree, all)
	if err != nil {
		return nil, failed("read watch items", err)
	}
	items, err := pgx.CollectRows(rows, scanWatch)
	return items, failed("read watch items", err)
}

// openWatch reads the open items of the given trees, or of all, by tree. Few
// trees have any.
func openWatch(ctx context.Context, q querier, only []int64) (map[int64][]scheduler.WatchItem, error) {
	rows, err := q.Query(ctx, watchOpenSQL, only)
	if err != nil {
		return nil, failed("read watch items", err)
	}
	items, err := pgx.CollectRows(rows, scanWatch)
	byTree := make(map[int64][]scheduler.WatchItem)
	for _, w := range items {
		byTree[w.TreeID] = append(byTree[w.TreeID], w)
	}
	return byTree, failed("read watch items", err)
}

func scanWatch(row pgx.CollectableRow) (scheduler.WatchItem, error) {
	var w scheduler.WatchItem
	err := row.Scan(&w.ID, &w.TreeID, &w.Letter, &w.What, &w.Height, &w.Side, &w.Diameter, &w.StemDiameter, &w.IncludedBark,
		&w.Done, &w.Intent, &w.ReducedOn, &w.SeenOn, &w.NextCheck, &w.Resolved, &w.RecordID, &w.Place)
	return w, err
}

// writeWatch stores what a record changed in a tree's watch items: items
// without a number are new.
func writeWatch(ctx context.Context, tx pgx.Tx, before, after []scheduler.WatchItem) error {
	known := make(map[int64]scheduler.WatchItem, len(before))
	for _, w := range before {
		known[w.ID] = w
	}
	for i := range after {
		w := &after[i]
		var err error
		if w.ID == 0 {
			_, err = tx.Exec(ctx, watchInsertSQL, w.TreeID, w.Letter, w.What, w.Height, string(w.Side), w.Diameter, w.StemDiameter,
				w.IncludedBark, w.Done, w.Intent, w.ReducedOn, w.SeenOn, w.NextCheck, w.Resolved, w.RecordID, w.Place)
		} else if *w != known[w.ID] {
			_, err = tx.Exec(ctx, watchUpdateSQL, w.ID, w.What, w.Height, string(w.Side), w.Diameter, w.StemDiameter,
				w.IncludedBark, w.Done, w.Intent, w.ReducedOn, w.SeenOn, w.NextCheck, w.Resolved)
		}
		if err != nil {
			return failed("write watch item "+w.Letter, err)
		}
	}
	return nil
}
