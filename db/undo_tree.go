package db

const (
	treeBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM tree t
JOIN batch_change c ON c.table_name = 'tree' AND c.row_id = t.id AND c.batch_id <> $1 WHERE t.batch_id = $1
UNION ALL
SELECT 'on a site changed by a later import', count(DISTINCT s.id) FROM site s
JOIN batch_change c ON c.table_name = 'site' AND c.row_id = s.id AND c.batch_id <> $1 WHERE s.batch_id = $1
UNION ALL
SELECT 'on a site of this import, from a later one', count(*) FROM tree t JOIN site s ON s.id = t.site_id
WHERE s.batch_id = $1 AND t.batch_id IS DISTINCT FROM $1
UNION ALL
SELECT 'with a work record', count(DISTINCT t.id) FROM work_record r JOIN tree t ON t.id = r.tree_id WHERE t.batch_id = $1
UNION ALL
SELECT 'with a stop of a packet', count(DISTINCT t.id) FROM stop p JOIN visit v ON v.id = p.visit_id JOIN tree t ON t.id = v.tree_id
WHERE t.batch_id = $1
UNION ALL
SELECT 'in an annual plan', count(DISTINCT t.id) FROM plan_line p JOIN visit v ON v.id = p.visit_id JOIN tree t ON t.id = v.tree_id
WHERE t.batch_id = $1
UNION ALL
SELECT 'with a visit that the rules did not make', count(DISTINCT t.id) FROM visit v JOIN tree t ON t.id = v.tree_id
WHERE t.batch_id = $1 AND (v.origin <> 'rules' OR v.progress = 'completed')
UNION ALL
SELECT 'with a request', count(DISTINCT t.id) FROM request q JOIN tree t ON t.id = q.tree_id WHERE t.batch_id = $1
UNION ALL
SELECT 'with a hazard', count(DISTINCT t.id) FROM hazard h JOIN tree t ON t.id = h.tree_id WHERE t.batch_id = $1
UNION ALL
SELECT 'with a watch item', count(DISTINCT t.id) FROM watch_item w JOIN tree t ON t.id = w.tree_id WHERE t.batch_id = $1
UNION ALL
SELECT 'with a later measurement', count(DISTINCT t.id) FROM measurement m JOIN tree t ON t.id = m.tree_id
WHERE t.batch_id = $1 AND m.batch_id IS DISTINCT FROM $1
UNION ALL
SELECT 'edited since', count(*) FROM (
    SELECT t.id FROM tree t WHERE t.batch_id = $1 AND t.revision <> 1
    UNION
    SELECT t.id FROM tree t JOIN batch_change c ON c.table_name = 'tree' AND c.row_id = t.id
    WHERE c.batch_id = $1 AND t.revision <> (c.before ->> 'revision')::integer + 1) e`
	treeNearSQL = `
SELECT row_id FROM batch_change WHERE batch_id = $1 AND table_name = 'site' ORDER BY 1`
	treeVisitsSQL = `
DELETE FROM visit v USING tree t WHERE t.batch_id = $1 AND v.tree_id = t.id`
	treeMeasuresSQL = `DELETE FROM measurement WHERE batch_id = $1`
	treeRemoveSQL   = `DELETE FROM tree WHERE batch_id = $1`
	siteRemoveSQL   = `DELETE FROM site WHERE batch_id = $1`
	treeRestoreSQL  = `
UPDATE tree t SET species = b.species, state = b.state, planted = b.planted, planted_precision = b.planted_precision,
    caliper_mm = b.caliper_mm, stems = b.stems, stage = b.stage, vigour = b.vigour, dbh_mm = b.dbh_mm, height_mm = b.height_mm,
    crown_spread_mm = b.crown_spread_mm, measured_on = b.measured_on, base_road_mm = b.base_road_mm, base_walk_mm = b.base_walk_mm,
    base_on = b.base_on, last_training = b.last_training, last_rotation = b.last_rotation, last_raise = b.last_raise,
    last_visit = b.last_visit, broken_on = b.broken_on, last_restored = b.last_restored, last_inspected = b.last_inspected,
    last_watered = b.last_watered, last_sprouts = b.last_sprouts, dose_season = b.dose_season, dose_used_pct = b.dose_used_pct, revision = b.revision
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::tree, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'tree' AND t.id = c.row_id`
	siteRestoreSQL = `
UPDATE site t SET owner = b.owner, address = b.address, source_srid = b.source_srid, source_x = b.source_x,
    source_y = b.source_y, geom = b.geom
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::site, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'site' AND t.id = c.row_id`
)

// treeUndo takes trees, sites and measurements back. Trees go before the
// changed ones are restored, so that a site is free again for the tree that
// stood on it.
func treeUndo() undoSQL {
	return undoSQL{
		blocked: treeBlockedSQL, near: treeNearSQL, derived: []string{treeVisitsSQL, treeMeasuresSQL, baseEndSQL},
		removed:  []string{treeRemoveSQL, siteRemoveSQL},
		restored: []string{treeRestoreSQL, siteRestoreSQL},
	}
}
