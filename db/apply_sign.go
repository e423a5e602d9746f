package db

const (
	signKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, raw, metric, target, was)
SELECT s.batch_id, s.line, s.ref, s.geom, city_geom(s.geom, $2::integer), t.id, t.geom
FROM stage_signs s LEFT JOIN sign t ON t.ref = s.ref
WHERE s.batch_id = $1`
	signClearSQL   = `DELETE FROM stage_signs WHERE batch_id = $1`
	signVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN w.target IS NULL THEN 'new' WHEN w.differs THEN 'changed' ELSE 'unchanged' END
FROM want_signs w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	signExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t), to_jsonb(w) - '{batch_id,line,ref,target,verdict,geom,differs}'::text[],
       CASE WHEN t.geom IS DISTINCT FROM w.geom THEN ST_HausdorffDistance(t.geom, w.geom) ELSE 0 END
FROM want_signs w JOIN sign t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`
	signKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'sign', t.id, to_jsonb(b)
FROM want_signs w JOIN sign t ON t.id = w.target CROSS JOIN LATERAL (
    SELECT t.id, t.ref, t.kind, t.height_mm, t.geom::text AS geom, t.batch_id) b
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY t.id`
	signUpdateSQL = `
UPDATE sign t SET kind = w.kind, height_mm = w.height_mm, geom = w.geom
FROM want_signs w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND t.id = w.target`
	signInsertSQL = `
INSERT INTO sign (ref, kind, height_mm, geom, batch_id)
SELECT w.ref, w.kind, w.height_mm, w.geom, w.batch_id FROM want_signs w
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`

	signBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM sign t
JOIN batch_change c ON c.table_name = 'sign' AND c.row_id = t.id AND c.batch_id <> $1
WHERE t.batch_id = $1`
	signNearSQL = `
SELECT DISTINCT s.id FROM site s JOIN (
    SELECT geom FROM sign WHERE batch_id = $1
    UNION ALL SELECT t.geom FROM batch_change c JOIN sign t ON t.id = c.row_id
    WHERE c.batch_id = $1 AND c.table_name = 'sign'
    UNION ALL SELECT (c.before ->> 'geom')::geometry FROM batch_change c
    WHERE c.batch_id = $1 AND c.table_name = 'sign') g ON ST_DWithin(s.geom, g.geom, $2::float8)`
	signRestoreSQL = `
UPDATE sign t SET kind = b.kind, height_mm = b.height_mm, geom = b.geom
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::sign, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'sign' AND t.id = c.row_id`
	signRemoveSQL = `DELETE FROM sign WHERE batch_id = $1`
)

func signImport() layerSQL {
	return layerSQL{
		key: signKeySQL, clear: signClearSQL, geometry: "POINT", verdict: signVerdictSQL, examples: signExampleSQL,
		apply: []string{signKeepSQL, signUpdateSQL}, insert: signInsertSQL, reach: nearReach,
		undo: undoSQL{
			blocked: signBlockedSQL, near: signNearSQL,
			restored: []string{signRestoreSQL}, removed: []string{signRemoveSQL},
		},
	}
}
