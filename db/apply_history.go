package db

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// A past visit becomes a work record. Records are never rewritten: a row whose
// key was imported before with other content is a fault.
const (
	historyKeySQL = `
INSERT INTO stage_key (batch_id, line, ref) SELECT batch_id, line, ref FROM stage_history WHERE batch_id = $1`
	historyClearSQL = `DELETE FROM stage_history WHERE batch_id = $1`
	faultNoTreeSQL  = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT w.batch_id, w.line, 'tree_ref', coalesce(w.tree_ref, ''), 'a past visit names a tree that has been imported'
FROM want_history w WHERE w.batch_id = $1 AND w.tree_id IS NULL`
	faultTooEarlySQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT w.batch_id, w.line, 'done_on', w.done_on::text, format('work on a tree is not earlier than its planting (%s, known to the %s)',
       t.planted, t.planted_precision)
FROM want_history w JOIN tree t ON t.id = w.tree_id
WHERE w.batch_id = $1 AND w.done_on <
    CASE t.planted_precision WHEN 'day' THEN t.planted WHEN 'month' THEN date_trunc('month', t.planted)::date
         ELSE date_trunc('year', t.planted)::date END`
	faultFutureSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT batch_id, line, 'done_on', done_on::text, 'a past visit does not lie in the future'
FROM stage_history WHERE batch_id = $1 AND done_on > $2::date`
	faultOtherContentSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT w.batch_id, w.line, 'ref', w.ref,
       format('a work record is not rewritten: %s holds other content under this key; take that import back first, or use a new key',
              coalesce('batch ' || r.batch_id, 'a record'))
FROM want_history w JOIN record_key k ON k.id = w.id LEFT JOIN work_record r ON r.id = w.id
WHERE w.batch_id = $1 AND k.digest <> w.digest`
	historyVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN r.id IS NULL THEN 'new' ELSE 'unchanged' END
FROM want_history w LEFT JOIN record_key r ON r.id = w.id
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`

	// Both halves see the trees as they were, and the facts are summed up once.
	historyFactsSQL = `
WITH f AS MATERIALIZED (SELECT * FROM history_facts WHERE batch_id = $1 AND differs),
kept AS (
    INSERT INTO batch_change (batch_id, table_name, row_id, before)
    SELECT f.batch_id, 'tree', t.id, to_jsonb(t) FROM f JOIN tree t ON t.id = f.tree_id ORDER BY t.id)
UPDATE tree t SET stage = f.stage, dbh_mm = f.dbh_mm, measured_on = f.measured_on, base_road_mm = f.base_road_mm,
    base_walk_mm = f.base_walk_mm, base_on = f.base_on, last_training = f.last_training, last_rotation = f.last_rotation,
    last_raise = f.last_raise, last_visit = f.last_visit, broken_on = f.broken_on, last_restored = f.last_restored,
    last_inspected = f.last_inspected, last_watered = f.last_watered, last_sprouts = f.last_sprouts, dose_season = f.dose_season, dose_used_pct = f.dose_used_pct,
    revision = t.revision + 1
FROM f WHERE t.id = f.tree_id`
	historyRecordKeySQL = `
INSERT INTO record_key (id, digest, received_at)
SELECT w.id, w.digest, b.applied_at FROM want_history w JOIN batch b ON b.id = w.batch_id
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`
	historyInsertSQL = `
INSERT INTO work_record (id, tree_id, by_whom, started_at, finished_at, done_on, kinds, outcome, live_crown_pct, minutes,
    body, source, actor, received_at, batch_id, history_ref)
SELECT w.id, w.tree_id, w.by_whom, t.started_at, w.finished_at, w.done_on, ARRAY[w.kind], 'done', w.live_crown_pct, w.minutes,
    jsonb_strip_nulls(jsonb_build_object('id', w.id, 'tree_id', w.tree_id, 'by', w.by_whom,
        'start', to_char(t.started_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"'),
        'finish', to_char(w.finished_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"'),
        'kinds', ARRAY[w.kind], 'outcome', 'done', 'live_crown_pct', w.live_crown_pct, 'base_road_mm', w.base_road_mm,
        'base_walk_mm', w.base_walk_mm, 'dbh_mm', w.dbh_mm, 'stage', w.stage, 'note', w.note, 'source', 'history')),
    'history', b.actor, b.applied_at, w.batch_id, w.ref
FROM want_history w JOIN batch b ON b.id = w.batch_id
CROSS JOIN LATERAL (SELECT w.finished_at - make_interval(mins => coalesce(w.minutes, 0)) AS started_at) t
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`
	historyMeasureSQL = `
INSERT INTO measurement (tree_id, on_date, dbh_mm, base_road_mm, base_walk_mm, source, record_id, batch_id)
SELECT w.tree_id, w.done_on, nullif(w.dbh_mm, 0), nullif(w.base_road_mm, 0), nullif(w.base_walk_mm, 0), 'history', w.id, w.batch_id
FROM want_history w
WHERE w.batch_id = $1 AND w.verdict = 'new'
  AND num_nonnulls(nullif(w.dbh_mm, 0), nullif(w.base_road_mm, 0), nullif(w.base_walk_mm, 0)) > 0 ORDER BY w.line`

	historyBlockedSQL = `
SELECT 'with facts written since', count(*) FROM tree t
JOIN batch_change c ON c.table_name = 'tree' AND c.row_id = t.id
WHERE c.batch_id = $1 AND t.revision <> (c.before ->> 'revision')::integer + 1
UNION ALL
SELECT 'with a hazard seen on the visit', count(*) FROM hazard h JOIN work_record r ON r.id = h.record_id WHERE r.batch_id = $1`
	historyRemoveSQL = `
WITH gone AS (DELETE FROM work_record WHERE batch_id = $1 RETURNING id)
DELETE FROM record_key k USING gone g WHERE k.id = g.id`
)

func historyImport() layerSQL {
	return layerSQL{
		key: historyKeySQL, clear: historyClearSQL, faults: []string{faultNoTreeSQL, faultTooEarlySQL, faultOtherContentSQL}, check: checkFuture,
		verdict: historyVerdictSQL,
		apply:   []string{historyFactsSQL, historyRecordKeySQL},
		insert:  historyInsertSQL, after: []string{historyMeasureSQL, baseEndSQL}, needs: []string{"trees"},
		undo: undoSQL{
			blocked: historyBlockedSQL, derived: []string{treeMeasuresSQL, baseEndSQL},
			removed: []string{historyRemoveSQL}, restored: []string{treeRestoreSQL},
		},
	}
}

func checkFuture(ctx context.Context, tx pgx.Tx, in checkInput) error {
	_, err := tx.Exec(ctx, faultFutureSQL, in.batch, in.today.Time())
	return err
}
