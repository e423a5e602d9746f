package db

const (
	depotKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, raw, metric, target, was)
SELECT s.batch_id, s.line, s.ref, s.geom, city_geom(s.geom, $2::integer), t.id, t.geom
FROM stage_depots s LEFT JOIN depot t ON t.ref = s.ref
WHERE s.batch_id = $1`
	depotClearSQL   = `DELETE FROM stage_depots WHERE batch_id = $1`
	depotVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN w.target IS NULL THEN 'new' WHEN w.differs THEN 'changed' ELSE 'unchanged' END
FROM want_depots w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	depotExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t), to_jsonb(w) - '{batch_id,line,ref,target,verdict,geom,differs}'::text[],
       CASE WHEN t.geom IS DISTINCT FROM w.geom THEN ST_HausdorffDistance(t.geom, w.geom) ELSE 0 END
FROM want_depots w JOIN depot t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`
	depotKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'depot', t.id, to_jsonb(b)
FROM want_depots w JOIN depot t ON t.id = w.target CROSS JOIN LATERAL (
    SELECT t.id, t.ref, t.name, t.geom::text AS geom, t.batch_id) b
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY t.id`
	depotUpdateSQL = `
UPDATE depot t SET name = w.name, geom = w.geom
FROM want_depots w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND t.id = w.target`
	depotInsertSQL = `
INSERT INTO depot (ref, name, geom, batch_id)
SELECT w.ref, w.name, w.geom, w.batch_id FROM want_depots w
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`

	depotBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM depot t
JOIN batch_change c ON c.table_name = 'depot' AND c.row_id = t.id AND c.batch_id <> $1
WHERE t.batch_id = $1
UNION ALL
SELECT 'with a crew that starts there', count(*) FROM crew c JOIN depot t ON t.id = c.depot_id
WHERE t.batch_id = $1`
	depotRestoreSQL = `
UPDATE depot t SET name = b.name, geom = b.geom
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::depot, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'depot' AND t.id = c.row_id`
	depotRemoveSQL = `DELETE FROM depot WHERE batch_id = $1`
)

func depotImport() layerSQL {
	return layerSQL{
		key: depotKeySQL, clear: depotClearSQL, geometry: "POINT", verdict: depotVerdictSQL, examples: depotExampleSQL,
		apply: []string{depotKeepSQL, depotUpdateSQL}, insert: depotInsertSQL,
		undo: undoSQL{
			blocked:  depotBlockedSQL,
			restored: []string{depotRestoreSQL}, removed: []string{depotRemoveSQL},
		},
	}
}
