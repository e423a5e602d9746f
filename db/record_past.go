package db

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	baseReadSQL = `
SELECT state, stage, vigour, dbh_mm, height_mm, crown_spread_mm, measured_on, base_road_mm, base_walk_mm, base_on, lowest_permanent_mm,
    last_training, last_rotation, last_raise, last_visit, broken_on, last_restored, last_inspected, last_watered, last_sprouts, dose_season, dose_used_pct
FROM tree_base WHERE tree_id = $1`
	baseKeepSQL = `
INSERT INTO tree_base (tree_id, state, stage, vigour, dbh_mm, height_mm, crown_spread_mm, measured_on, base_road_mm, base_walk_mm,
    base_on, lowest_permanent_mm, last_training, last_rotation, last_raise, last_visit, broken_on, last_restored, last_inspected,
    last_watered, last_sprouts, dose_season, dose_used_pct, held)
SELECT t.id, t.state, t.stage, t.vigour, t.dbh_mm, t.height_mm, t.crown_spread_mm, t.measured_on, t.base_road_mm, t.base_walk_mm,
    t.base_on, t.lowest_permanent_mm, t.last_training, t.last_rotation, t.last_raise, t.last_visit,
    t.broken_on, t.last_restored, t.last_inspected, t.last_watered, t.last_sprouts, t.dose_season, t.dose_used_pct,
    ARRAY(SELECT r.id FROM work_record r WHERE r.tree_id = t.id AND r.batch_id IS NULL)
FROM tree t WHERE t.id = $1`
	// An import has changed trees, or was taken back: its new facts are the base of what comes.
	baseEndSQL = `
DELETE FROM tree_base b USING batch_change c WHERE c.batch_id = $1 AND c.table_name = 'tree' AND b.tree_id = c.row_id`
	pastReadSQL = `
SELECT r.body, r.done_on, coalesce(v.kind::text, ''), r.id = ANY (b.held)
FROM work_record r JOIN tree_base b ON b.tree_id = r.tree_id LEFT JOIN visit v ON v.id = r.visit_id
WHERE r.tree_id = $1 AND r.batch_id IS NULL`
)

// readPast returns the facts that the tree's records are read over, and those
// records. A tree without a base gets its facts of now. The tree's row is locked.
func readPast(ctx context.Context, tx pgx.Tx, tree *scheduler.Tree) (scheduler.Tree, []scheduler.PastRecord, error) {
	b := *tree
	err := tx.QueryRow(ctx, baseReadSQL, tree.ID).Scan(&b.State, &b.Stage, &b.Vigour, &b.DBH, &b.Height, &b.Crown, &b.MeasuredOn, &b.BaseRoad,
		&b.BaseWalk, &b.BaseOn, &b.Permanent, &b.LastTraining, &b.LastRotation, &b.LastRaise, &b.LastVisit,
		&b.BrokenOn, &b.LastRestored, &b.LastInspected, &b.LastWatered, &b.LastSprouts, &b.DoseSeason, &b.DoseUsed)
	if isNoRows(err) {
		_, err = tx.Exec(ctx, baseKeepSQL, tree.ID)
	}
	if err != nil {
		return b, nil, failed("read tree's base", err)
	}
	rows, err := tx.Query(ctx, pastReadSQL, tree.ID)
	if err != nil {
		return b, nil, failed("read tree's records", err)
	}
	past, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (p scheduler.PastRecord, err error) {
		var body []byte
		if err := row.Scan(&body, &p.On, &p.Lead, &p.InBase); err != nil {
			return p, err
		}
		if err := json.Unmarshal(body, &p.Record); err != nil {
			return p, fmt.Errorf("decode record: %w", err)
		}
		return p, nil
	})
	return b, past, failed("read tree's records", err)
}
