package db

const (
	dumpKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, raw, metric, target, was)
SELECT s.batch_id, s.line, s.ref, s.geom, city_geom(s.geom, $2::integer), t.id, t.geom
FROM stage_dumps s LEFT JOIN dump t ON t.ref = s.ref
WHERE s.batch_id = $1`
	dumpClearSQL   = `DELETE FROM stage_dumps WHERE batch_id = $1`
	dumpVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN w.target IS NULL THEN 'new' WHEN w.differs THEN 'changed' ELSE 'unchanged' END
FROM want_dumps w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	dumpExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t), to_jsonb(w) - '{batch_id,line,ref,target,verdict,geom,differs}'::text[],
       CASE WHEN t.geom IS DISTINCT FROM w.geom THEN ST_HausdorffDistance(t.geom, w.geom) ELSE 0 END
FROM want_dumps w JOIN dump t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`
	dumpKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'dump', t.id, to_jsonb(b)
FROM want_dumps w JOIN dump t ON t.id = w.target CROSS JOIN LATERAL (
    SELECT t.id, t.ref, t.name, t.minutes, t.sanitation, t.geom::text AS geom, t.batch_id) b
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY t.id`
	dumpUpdateSQL = `
UPDATE dump t SET name = w.name, minutes = w.minutes, sanitation = w.sanitation, geom = w.geom
FROM want_dumps w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND t.id = w.target`
	dumpInsertSQL = `
INSERT INTO dump (ref, name, minutes, sanitation, geom, batch_id)
SELECT w.ref, w.name, w.minutes, w.sanitation, w.geom, w.batch_id FROM want_dumps w
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`

	dumpBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM dump t
JOIN batch_change c ON c.table_name = 'dump' AND c.row_id = t.id AND c.batch_id <> $1
WHERE t.batch_id = $1
UNION ALL
SELECT 'with a stop of a packet', count(*) FROM stop s JOIN dump t ON t.id = s.dump_id
WHERE t.batch_id = $1`
	dumpRestoreSQL = `
UPDATE dump t SET name = b.name, minutes = b.minutes, sanitation = b.sanitation, geom = b.geom
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::dump, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'dump' AND t.id = c.row_id`
	dumpRemoveSQL = `DELETE FROM dump WHERE batch_id = $1`
)

func dumpImport() layerSQL {
	return layerSQL{
		key: dumpKeySQL, clear: dumpClearSQL, geometry: "POINT", verdict: dumpVerdictSQL, examples: dumpExampleSQL,
		apply: []string{dumpKeepSQL, dumpUpdateSQL}, insert: dumpInsertSQL,
		undo: undoSQL{
			blocked:  dumpBlockedSQL,
			restored: []string{dumpRestoreSQL}, removed: []string{dumpRemoveSQL},
		},
	}
}
