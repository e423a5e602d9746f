package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	followOpenSQL = `
SELECT f.id, f.tree_id, f.record_id::text, f.code, coalesce(f.kind::text, ''), f.set_on, f.until, f.hold, f.skill, f.first, f.caution,
       coalesce(f.lifted_by::text, ''), f.ended_on
FROM follow_up f JOIN work_record r ON r.id = f.record_id
WHERE f.ended_on IS NULL AND ($1::bigint[] IS NULL OR f.tree_id = ANY ($1)) ORDER BY f.tree_id, r.finished_at, r.id`
	followWriteSQL = `
INSERT INTO follow_up AS f (tree_id, record_id, code, kind, set_on, until, hold, skill, first, caution, lifted_by, ended_on)
VALUES ($1, $2, $3, nullif($4, '')::work_kind, $5, $6, $7, $8, $9, $10, nullif($11, '')::work_kind, $12)
ON CONFLICT (record_id) DO UPDATE SET kind = excluded.kind, until = excluded.until, hold = excluded.hold, skill = excluded.skill,
    first = excluded.first, caution = excluded.caution, lifted_by = excluded.lifted_by, ended_on = excluded.ended_on
WHERE (f.kind, f.until, f.hold, f.skill, f.first, f.caution, f.lifted_by, f.ended_on)
    IS DISTINCT FROM (excluded.kind, excluded.until, excluded.hold, excluded.skill, excluded.first, excluded.caution, excluded.lifted_by, excluded.ended_on)`
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

// writeFollowUps makes a tree's follow-ups what its records set; rows that say
// so already are not written.
func writeFollowUps(ctx context.Context, tx pgx.Tx, list []scheduler.FollowUp) error {
	if len(list) == 0 {
		return nil
	}
	var batch pgx.Batch
	for i := range list {
		f := &list[i]
		batch.Queue(followWriteSQL, f.TreeID, f.RecordID, f.Code, string(f.Kind), f.SetOn, f.Until, f.Hold, f.Skill, f.First, f.Caution,
			string(f.LiftedBy), f.EndedOn)
	}
	return failed("write follow-ups", tx.SendBatch(ctx, &batch).Close())
}
