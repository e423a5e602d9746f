package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	followOpenSQL = `
SELECT id, tree_id, record_id::text, code, coalesce(kind::text, ''), set_on, until, hold, skill, first, caution,
       coalesce(lifted_by::text, ''), ended_on
FROM follow_up WHERE ended_on IS NULL AND ($1::bigint[] IS NULL OR tree_id = ANY ($1)) ORDER BY tree_id, id`
	followInsertSQL = `
INSERT INTO follow_up (tree_id, record_id, code, kind, set_on, until, hold, skill, first, caution, lifted_by)
VALUES ($1, $2, $3, nullif($4, '')::work_kind, $5, $6, $7, $8, $9, $10, nullif($11, '')::work_kind)`
	followEndSQL = `UPDATE follow_up SET ended_on = $2 WHERE id = ANY ($1) AND ended_on IS NULL`
)

// openFollowUps reads what records left standing for the given trees, or for
// all, by tree.
func openFollowUps(ctx context.Context, q querier, only []int64) (map[int64][]scheduler.FollowUp, error) {
	rows, err := q.Query(ctx, followOpenSQL, only)
	if err != nil {
		return nil, failed("read follow-ups", err)
	}
	byTree := make(map[int64][]scheduler.FollowUp)
	var f scheduler.FollowUp
	_, err = pgx.ForEachRow(rows, []any{
		&f.ID, &f.TreeID, &f.RecordID, &f.Code, &f.Kind, &f.SetOn, &f.Until, &f.Hold, &f.Skill, &f.First, &f.Caution,
		&f.LiftedBy, &f.EndedOn,
	}, func() error {
		byTree[f.TreeID] = append(byTree[f.TreeID], f)
		return nil
	})
	return byTree, failed("read follow-ups", err)
}

// writeFollowUps ends those that a record brought to an end and adds the one it set.
func writeFollowUps(ctx context.Context, tx pgx.Tx, in *scheduler.RecordInput, out *scheduler.RecordOutcome) error {
	if len(out.Ends) > 0 {
		if _, err := tx.Exec(ctx, followEndSQL, out.Ends, in.On); err != nil {
			return failed("end follow-ups", err)
		}
	}
	f := out.FollowUp
	if f == nil {
		return nil
	}
	_, err := tx.Exec(ctx, followInsertSQL, in.Tree.ID, in.Record.ID, f.Code, string(f.Kind), f.SetOn, f.Until, f.Hold, f.Skill,
		f.First, f.Caution, string(f.LiftedBy))
	return failed("add follow-up", err)
}
