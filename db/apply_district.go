package db

const (
	districtKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, raw, metric, target, was)
SELECT s.batch_id, s.line, s.ref, s.geom,
       ST_Multi(ST_CollectionExtract(ST_MakeValid(city_geom(s.geom, $2::integer)), 3)), t.id, t.geom
FROM stage_districts s LEFT JOIN district t ON t.ref = s.ref
WHERE s.batch_id = $1`
	districtClearSQL   = `DELETE FROM stage_districts WHERE batch_id = $1`
	districtVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN w.target IS NULL THEN 'new' WHEN w.differs THEN 'changed' ELSE 'unchanged' END
FROM want_districts w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	districtExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t), to_jsonb(w) - '{batch_id,line,ref,target,verdict,geom,differs}'::text[],
       CASE WHEN t.geom IS DISTINCT FROM w.geom THEN ST_HausdorffDistance(t.geom, w.geom) ELSE 0 END
FROM want_districts w JOIN district t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`
	districtKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'district', t.id, to_jsonb(b)
FROM want_districts w JOIN district t ON t.id = w.target CROSS JOIN LATERAL (
    SELECT t.id, t.ref, t.name, t.version, t.geom::text AS geom, t.batch_id) b
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY t.id`
	districtUpdateSQL = `
UPDATE district t SET name = w.name, geom = w.geom, version = t.version + (t.geom IS DISTINCT FROM w.geom)::integer
FROM want_districts w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND t.id = w.target`
	districtInsertSQL = `
INSERT INTO district (ref, name, geom, batch_id)
SELECT w.ref, w.name, w.geom, w.batch_id FROM want_districts w
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`

	districtBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM district t
JOIN batch_change c ON c.table_name = 'district' AND c.row_id = t.id AND c.batch_id <> $1
WHERE t.batch_id = $1`
	districtNearSQL = `
SELECT DISTINCT s.id FROM site s JOIN (
    SELECT geom FROM district WHERE batch_id = $1
    UNION ALL SELECT t.geom FROM batch_change c JOIN district t ON t.id = c.row_id
    WHERE c.batch_id = $1 AND c.table_name = 'district'
    UNION ALL SELECT (c.before ->> 'geom')::geometry FROM batch_change c
    WHERE c.batch_id = $1 AND c.table_name = 'district') g ON ST_DWithin(s.geom, g.geom, $2::float8)`
	districtUnlinkSQL = `
UPDATE site_fact f SET district_id = NULL FROM district t WHERE t.batch_id = $1 AND f.district_id = t.id`
	districtRestoreSQL = `
UPDATE district t SET name = b.name, version = b.version, geom = b.geom
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::district, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'district' AND t.id = c.row_id`
	districtRemoveSQL = `DELETE FROM district WHERE batch_id = $1`
)

func districtImport() layerSQL {
	return layerSQL{
		key: districtKeySQL, clear: districtClearSQL, geometry: "MULTIPOLYGON", verdict: districtVerdictSQL, examples: districtExampleSQL,
		apply: []string{districtKeepSQL, districtUpdateSQL}, insert: districtInsertSQL, reach: 1,
		undo: undoSQL{
			blocked: districtBlockedSQL, near: districtNearSQL, derived: []string{districtUnlinkSQL},
			restored: []string{districtRestoreSQL}, removed: []string{districtRemoveSQL},
		},
	}
}
