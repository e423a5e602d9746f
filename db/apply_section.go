package db

const (
	sectionKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, raw, metric, target, was)
SELECT s.batch_id, s.line, s.ref, s.geom,
       ST_Multi(ST_CollectionExtract(ST_MakeValid(city_geom(s.geom, $2::integer)), 3)), t.id, t.geom
FROM stage_sections s LEFT JOIN section t ON t.ref = s.ref
WHERE s.batch_id = $1`
	sectionClearSQL   = `DELETE FROM stage_sections WHERE batch_id = $1`
	sectionVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN w.target IS NULL THEN 'new' WHEN w.differs THEN 'changed' ELSE 'unchanged' END
FROM want_sections w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	sectionExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t), to_jsonb(w) - '{batch_id,line,ref,target,verdict,geom,differs}'::text[],
       CASE WHEN t.geom IS DISTINCT FROM w.geom THEN ST_HausdorffDistance(t.geom, w.geom) ELSE 0 END
FROM want_sections w JOIN section t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`
	sectionKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'section', t.id, to_jsonb(b)
FROM want_sections w JOIN section t ON t.id = w.target CROSS JOIN LATERAL (
    SELECT t.id, t.ref, t.name, t.cycle_year, t.geom::text AS geom, t.batch_id) b
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY t.id`
	sectionUpdateSQL = `
UPDATE section t SET name = w.name, cycle_year = w.cycle_year, geom = w.geom
FROM want_sections w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND t.id = w.target`
	sectionInsertSQL = `
INSERT INTO section (ref, name, cycle_year, geom, batch_id)
SELECT w.ref, w.name, w.cycle_year, w.geom, w.batch_id FROM want_sections w
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`

	sectionBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM section t
JOIN batch_change c ON c.table_name = 'section' AND c.row_id = t.id AND c.batch_id <> $1
WHERE t.batch_id = $1`
	sectionNearSQL = `
SELECT DISTINCT s.id FROM site s JOIN (
    SELECT geom FROM section WHERE batch_id = $1
    UNION ALL SELECT t.geom FROM batch_change c JOIN section t ON t.id = c.row_id
    WHERE c.batch_id = $1 AND c.table_name = 'section'
    UNION ALL SELECT (c.before ->> 'geom')::geometry FROM batch_change c
    WHERE c.batch_id = $1 AND c.table_name = 'section') g ON ST_DWithin(s.geom, g.geom, $2::float8)`
	sectionUnlinkSQL = `
UPDATE site_fact f SET section_id = NULL FROM section t WHERE t.batch_id = $1 AND f.section_id = t.id`
	sectionRestoreSQL = `
UPDATE section t SET name = b.name, cycle_year = b.cycle_year, geom = b.geom
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::section, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'section' AND t.id = c.row_id`
	sectionRemoveSQL = `DELETE FROM section WHERE batch_id = $1`
)

func sectionImport() layerSQL {
	return layerSQL{
		key: sectionKeySQL, clear: sectionClearSQL, geometry: "MULTIPOLYGON", verdict: sectionVerdictSQL, examples: sectionExampleSQL,
		apply: []string{sectionKeepSQL, sectionUpdateSQL}, insert: sectionInsertSQL, reach: 1,
		undo: undoSQL{
			blocked: sectionBlockedSQL, near: sectionNearSQL, derived: []string{sectionUnlinkSQL},
			restored: []string{sectionRestoreSQL}, removed: []string{sectionRemoveSQL},
		},
	}
}
