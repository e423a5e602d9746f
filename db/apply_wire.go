package db

const (
	wireKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, raw, metric, target, was)
SELECT s.batch_id, s.line, s.ref, s.geom, city_geom(s.geom, $2::integer), t.id, t.geom
FROM stage_wires s LEFT JOIN wire t ON t.ref = s.ref
WHERE s.batch_id = $1`
	wireClearSQL   = `DELETE FROM stage_wires WHERE batch_id = $1`
	wireVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN w.target IS NULL THEN 'new' WHEN w.differs THEN 'changed' ELSE 'unchanged' END
FROM want_wires w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	wireExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t), to_jsonb(w) - '{batch_id,line,ref,target,verdict,geom,differs}'::text[],
       CASE WHEN t.geom IS DISTINCT FROM w.geom THEN ST_HausdorffDistance(t.geom, w.geom) ELSE 0 END
FROM want_wires w JOIN wire t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`
	wireKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'wire', t.id, to_jsonb(b)
FROM want_wires w JOIN wire t ON t.id = w.target CROSS JOIN LATERAL (
    SELECT t.id, t.ref, t.class, t.volts, t.height_mm, t.geom::text AS geom, t.batch_id) b
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY t.id`
	wireUpdateSQL = `
UPDATE wire t SET class = w.class, volts = w.volts, height_mm = w.height_mm, geom = w.geom
FROM want_wires w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND t.id = w.target`
	wireInsertSQL = `
INSERT INTO wire (ref, class, volts, height_mm, geom, batch_id)
SELECT w.ref, w.class, w.volts, w.height_mm, w.geom, w.batch_id FROM want_wires w
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`

	wireBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM wire t
JOIN batch_change c ON c.table_name = 'wire' AND c.row_id = t.id AND c.batch_id <> $1
WHERE t.batch_id = $1`
	wireNearSQL = `
SELECT DISTINCT s.id FROM site s JOIN (
    SELECT geom FROM wire WHERE batch_id = $1
    UNION ALL SELECT t.geom FROM batch_change c JOIN wire t ON t.id = c.row_id
    WHERE c.batch_id = $1 AND c.table_name = 'wire'
    UNION ALL SELECT (c.before ->> 'geom')::geometry FROM batch_change c
    WHERE c.batch_id = $1 AND c.table_name = 'wire') g ON ST_DWithin(s.geom, g.geom, $2::float8)`
	wireRestoreSQL = `
UPDATE wire t SET class = b.class, volts = b.volts, height_mm = b.height_mm, geom = b.geom
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::wire, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'wire' AND t.id = c.row_id`
	wireRemoveSQL = `DELETE FROM wire WHERE batch_id = $1`
)

func wireImport() layerSQL {
	return layerSQL{
		key: wireKeySQL, clear: wireClearSQL, geometry: "LINESTRING", verdict: wireVerdictSQL, examples: wireExampleSQL,
		apply: []string{wireKeepSQL, wireUpdateSQL}, insert: wireInsertSQL, reach: nearReach,
		undo: undoSQL{
			blocked: wireBlockedSQL, near: wireNearSQL,
			restored: []string{wireRestoreSQL}, removed: []string{wireRemoveSQL},
		},
	}
}
