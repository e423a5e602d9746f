package db

const (
	walkKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, raw, metric, target, was)
SELECT s.batch_id, s.line, s.ref, s.geom, city_geom(s.geom, $2::integer), t.id, t.geom
FROM stage_walks s LEFT JOIN walk t ON t.ref = s.ref
WHERE s.batch_id = $1`
	walkClearSQL   = `DELETE FROM stage_walks WHERE batch_id = $1`
	walkVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN w.target IS NULL THEN 'new' WHEN w.differs THEN 'changed' ELSE 'unchanged' END
FROM want_walks w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	walkExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t), to_jsonb(w) - '{batch_id,line,ref,target,verdict,geom,differs}'::text[],
       CASE WHEN t.geom IS DISTINCT FROM w.geom THEN ST_HausdorffDistance(t.geom, w.geom) ELSE 0 END
FROM want_walks w JOIN walk t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`
	walkKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'walk', t.id, to_jsonb(b)
FROM want_walks w JOIN walk t ON t.id = w.target CROSS JOIN LATERAL (
    SELECT t.id, t.ref, t.width_mm, t.geom::text AS geom, t.batch_id) b
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY t.id`
	walkUpdateSQL = `
UPDATE walk t SET width_mm = w.width_mm, geom = w.geom
FROM want_walks w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND t.id = w.target`
	walkInsertSQL = `
INSERT INTO walk (ref, width_mm, geom, batch_id)
SELECT w.ref, w.width_mm, w.geom, w.batch_id FROM want_walks w
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`

	walkBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM walk t
JOIN batch_change c ON c.table_name = 'walk' AND c.row_id = t.id AND c.batch_id <> $1
WHERE t.batch_id = $1`
	walkNearSQL = `
SELECT DISTINCT s.id FROM site s JOIN (
    SELECT geom FROM walk WHERE batch_id = $1
    UNION ALL SELECT t.geom FROM batch_change c JOIN walk t ON t.id = c.row_id
    WHERE c.batch_id = $1 AND c.table_name = 'walk'
    UNION ALL SELECT (c.before ->> 'geom')::geometry FROM batch_change c
    WHERE c.batch_id = $1 AND c.table_name = 'walk') g ON ST_DWithin(s.geom, g.geom, $2::float8)`
	walkRestoreSQL = `
UPDATE walk t SET width_mm = b.width_mm, geom = b.geom
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::walk, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'walk' AND t.id = c.row_id`
	walkRemoveSQL = `DELETE FROM walk WHERE batch_id = $1`
)

func walkImport() layerSQL {
	return layerSQL{
		key: walkKeySQL, clear: walkClearSQL, geometry: "LINESTRING", verdict: walkVerdictSQL, examples: walkExampleSQL,
		apply: []string{walkKeepSQL, walkUpdateSQL}, insert: walkInsertSQL, reach: nearReach,
		undo: undoSQL{
			blocked: walkBlockedSQL, near: walkNearSQL,
			restored: []string{walkRestoreSQL}, removed: []string{walkRemoveSQL},
		},
	}
}
