package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// A tree file's row carries a tree, the site it stands on, and a measurement.
// The rule of what a row may overwrite is in the view want_trees.
const (
	treeKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, raw, metric, target, was)
SELECT s.batch_id, s.line, s.ref, s.geom, city_geom(s.geom, $2::integer), t.id, st.geom
FROM stage_trees s LEFT JOIN tree t ON t.ref = s.ref LEFT JOIN site st ON st.id = t.site_id
WHERE s.batch_id = $1`
	treeClearSQL    = `DELETE FROM stage_trees WHERE batch_id = $1`
	faultSpeciesSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT s.batch_id, s.line, 'species', s.species, 'a species is named by a code of the species table'
FROM stage_trees s
WHERE s.batch_id = $1 AND s.species IS NOT NULL AND NOT EXISTS (SELECT 1 FROM species p WHERE p.code = s.species)`
	faultNoSpeciesSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT w.batch_id, w.line, 'species', '', 'a living tree has a species'
FROM want_trees w WHERE w.batch_id = $1 AND w.state = 'alive' AND w.species IS NULL`
	faultRevivedSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT w.batch_id, w.line, 'state', w.state::text, format('one tree stands on a site; %s stands there now', o.ref)
FROM want_trees w
JOIN tree t ON t.id = w.target
JOIN tree o ON o.site_id = t.site_id AND o.id <> t.id AND o.state IN ('alive', 'dead', 'stump')
WHERE w.batch_id = $1 AND w.state IN ('alive', 'dead', 'stump') AND t.state NOT IN ('alive', 'dead', 'stump')`
	treeVerdictSQL = `
UPDATE stage_key k SET verdict =
    CASE WHEN w.target IS NULL THEN 'new' WHEN w.tree_differs OR w.site_differs THEN 'changed' ELSE 'unchanged' END
FROM want_trees w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	treeExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t) || jsonb_build_object('owner', st.owner, 'address', st.address),
       to_jsonb(w) - '{batch_id,line,ref,target,verdict,anchor,anchor_line,raw,geom,site_id,sized,based,tree_differs,site_differs,moved}'::text[]
           - CASE WHEN w.site_differs THEN '{}' ELSE '{owner,address}' END::text[], -- a row that does not speak for its site changes neither
       CASE WHEN w.moved THEN ST_Distance(st.geom, w.geom) ELSE 0 END
FROM want_trees w JOIN tree t ON t.id = w.target JOIN site st ON st.id = t.site_id
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`

	treeKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'tree', t.id, to_jsonb(t) FROM want_trees w JOIN tree t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND w.tree_differs ORDER BY t.id`
	siteKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'site', st.id, to_jsonb(b)
FROM (SELECT DISTINCT batch_id, site_id FROM want_trees
      WHERE batch_id = $1 AND verdict IN ('new', 'changed') AND site_differs) w
JOIN site st ON st.id = w.site_id CROSS JOIN LATERAL (
    SELECT st.id, st.ref, st.owner, st.address, st.source_srid, st.source_x, st.source_y, st.geom::text AS geom, st.batch_id) b
ORDER BY st.id`
	// When two rows speak for one site, the standing tree's does.
	siteUpdateSQL = `
UPDATE site st SET owner = w.owner, address = w.address, geom = w.geom, source_srid = w.source_srid,
    source_x = w.source_x, source_y = w.source_y
FROM (
    SELECT DISTINCT ON (site_id) site_id, owner, address, geom, ST_SRID(raw) AS source_srid, ST_X(raw) AS source_x, ST_Y(raw) AS source_y
    FROM want_trees WHERE batch_id = $1 AND verdict IN ('new', 'changed') AND site_differs
    ORDER BY site_id, state IN ('alive', 'dead', 'stump') DESC, line) w
WHERE st.id = w.site_id`
	treeUpdateSQL = `
UPDATE tree t SET species = w.species, state = w.state, planted = w.planted, planted_precision = w.planted_precision,
    caliper_mm = w.caliper_mm, stems = w.stems, stage = w.stage, vigour = w.vigour, dbh_mm = w.dbh_mm, height_mm = w.height_mm,
    crown_spread_mm = w.crown_spread_mm, measured_on = w.measured_on, base_road_mm = w.base_road_mm,
    base_walk_mm = w.base_walk_mm, base_on = w.base_on, revision = t.revision + 1
FROM want_trees w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND w.tree_differs AND t.id = w.target`
	siteInsertSQL = `
INSERT INTO site (ref, owner, address, source_srid, source_x, source_y, geom, batch_id)
SELECT w.ref, w.owner, w.address, ST_SRID(w.raw), ST_X(w.raw), ST_Y(w.raw), w.geom, w.batch_id
FROM want_trees w
WHERE w.batch_id = $1 AND w.verdict = 'new' AND w.anchor IS NULL AND w.anchor_line IS NULL ORDER BY w.line`
	treeInsertSQL = `
INSERT INTO tree (ref, site_id, species, state, planted, planted_precision, caliper_mm, stems, stage, vigour, dbh_mm, height_mm,
    crown_spread_mm, measured_on, base_road_mm, base_walk_mm, base_on, batch_id)
SELECT w.ref, coalesce(w.anchor, st.id), w.species, w.state, w.planted, w.planted_precision, w.caliper_mm, w.stems, w.stage,
    w.vigour, w.dbh_mm, w.height_mm, w.crown_spread_mm, w.measured_on, w.base_road_mm, w.base_walk_mm, w.base_on, w.batch_id
FROM want_trees w
LEFT JOIN stage_key a ON a.batch_id = w.batch_id AND a.line = w.anchor_line
LEFT JOIN site st ON w.anchor IS NULL AND st.ref = coalesce(a.ref, w.ref)
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`
	// A site with a new tree is not vacant any more.
	vacantKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT n.batch_id, 'tree', o.id, to_jsonb(o)
FROM tree o JOIN tree n ON n.site_id = o.site_id AND n.state IN ('alive', 'dead', 'stump')
WHERE n.batch_id = $1 AND o.state = 'vacant' AND o.batch_id IS DISTINCT FROM $1
  AND NOT EXISTS (SELECT 1 FROM batch_change c WHERE c.batch_id = $1 AND c.table_name = 'tree' AND c.row_id = o.id)`
	vacantFilledSQL = `
UPDATE tree o SET state = 'removed', revision = (c.before ->> 'revision')::integer + 1
FROM tree n, batch_change c
WHERE n.batch_id = $1 AND n.site_id = o.site_id AND n.state IN ('alive', 'dead', 'stump')
  AND o.state = 'vacant' AND c.batch_id = $1 AND c.table_name = 'tree' AND c.row_id = o.id`
	treeMeasureSQL = `
INSERT INTO measurement (tree_id, on_date, dbh_mm, height_mm, crown_spread_mm, base_road_mm, base_walk_mm, source, batch_id)
SELECT t.id, s.measured_on, s.dbh_mm, s.height_mm, s.crown_spread_mm, s.base_road_mm, s.base_walk_mm, 'import', s.batch_id
FROM stage_key k JOIN stage_trees s USING (batch_id, line) JOIN tree t ON t.ref = k.ref
WHERE k.batch_id = $1 AND k.verdict IN ('new', 'changed') AND s.measured_on IS NOT NULL
  AND num_nonnulls(s.dbh_mm, s.height_mm, s.crown_spread_mm, s.base_road_mm, s.base_walk_mm) > 0
  AND NOT EXISTS (
    SELECT 1 FROM measurement m WHERE m.tree_id = t.id AND m.on_date = s.measured_on AND m.source = 'import'
      AND (m.dbh_mm, m.height_mm, m.crown_spread_mm, m.base_road_mm, m.base_walk_mm)
          IS NOT DISTINCT FROM (s.dbh_mm, s.height_mm, s.crown_spread_mm, s.base_road_mm, s.base_walk_mm))
ORDER BY k.line`
	treeTouchedSQL = `
SELECT id FROM site WHERE batch_id = $1
UNION SELECT row_id FROM batch_change WHERE batch_id = $1 AND table_name = 'site' ORDER BY 1`
)

func treeImport() layerSQL {
	return layerSQL{
		key: treeKeySQL, clear: treeClearSQL, geometry: "POINT", faults: []string{faultSpeciesSQL, faultNoSpeciesSQL, faultRevivedSQL},
		check: checkSpots, verdict: treeVerdictSQL, examples: treeExampleSQL,
		apply:   []string{treeKeepSQL, siteKeepSQL, siteUpdateSQL, treeUpdateSQL, siteInsertSQL},
		insert:  treeInsertSQL,
		after:   []string{vacantKeepSQL, vacantFilledSQL, treeMeasureSQL, baseEndSQL},
		touched: treeTouchedSQL, needs: []string{"districts", "history"},
		undo: treeUndo(),
	}
}

// checkSpots leaves rows that are at fault already out of the question of who
// stands where, then settles it for the rest. A known tree that may not move
// keeps its place, and the others have to reckon with that: all begins again without its row.
func checkSpots(ctx context.Context, tx pgx.Tx, in checkInput) error {
	for {
		if _, err := tx.Exec(ctx, markFaultsSQL, in.batch); err != nil {
			return err
		}
		s, err := readSpots(ctx, tx, in.batch)
		if err != nil {
			return fmt.Errorf("read spots: %w", err)
		}
		write := s.write
		if len(s.stuck.line) > 0 {
			write = s.stuck.refuse
		}
		if err := write(ctx, tx, in.batch); err != nil {
			return fmt.Errorf("write spots: %w", err)
		}
		if len(s.stuck.line) == 0 {
			return nil
		}
	}
}
