package db

const (
	streetKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, raw, metric, target, was)
SELECT s.batch_id, s.line, s.ref, s.geom, city_geom(s.geom, $2::integer), t.id, t.geom
FROM stage_streets s LEFT JOIN street t ON t.ref = s.ref
WHERE s.batch_id = $1`
	streetClearSQL   = `DELETE FROM stage_streets WHERE batch_id = $1`
	streetVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN w.target IS NULL THEN 'new' WHEN w.differs THEN 'changed' ELSE 'unchanged' END
FROM want_streets w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	streetExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t), to_jsonb(w) - '{batch_id,line,ref,target,verdict,geom,differs}'::text[],
       CASE WHEN t.geom IS DISTINCT FROM w.geom THEN ST_HausdorffDistance(t.geom, w.geom) ELSE 0 END
FROM want_streets w JOIN street t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`
	streetKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'street', t.id, to_jsonb(b)
FROM want_streets w JOIN street t ON t.id = w.target CROSS JOIN LATERAL (
    SELECT t.id, t.ref, t.name, t.class, t.one_way, t.speed_kmh, t.width_mm, t.lanes, t.parking, t.bus_route, t.truck_route,
        t.bridge, t.max_height_mm, t.max_weight_kg, t.geom::text AS geom, t.batch_id) b
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY t.id`
	streetUpdateSQL = `
UPDATE street t SET name = w.name, class = w.class, one_way = w.one_way, speed_kmh = w.speed_kmh, width_mm = w.width_mm,
    lanes = w.lanes, parking = w.parking, bus_route = w.bus_route, truck_route = w.truck_route, bridge = w.bridge,
    max_height_mm = w.max_height_mm, max_weight_kg = w.max_weight_kg, geom = w.geom
FROM want_streets w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND t.id = w.target`
	streetInsertSQL = `
INSERT INTO street (ref, name, class, one_way, speed_kmh, width_mm, lanes, parking, bus_route, truck_route, bridge,
    max_height_mm, max_weight_kg, geom, batch_id)
SELECT w.ref, w.name, w.class, w.one_way, w.speed_kmh, w.width_mm, w.lanes, w.parking, w.bus_route, w.truck_route, w.bridge,
    w.max_height_mm, w.max_weight_kg, w.geom, w.batch_id FROM want_streets w
WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`
	streetFacesSQL = `
INSERT INTO block_face (street_id, side)
SELECT t.id, side FROM street t, unnest('{left,right}'::tree_side[]) AS side
WHERE t.batch_id = $1 ORDER BY t.id, side`
	faultShortStreetSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT batch_id, line, 'position', round(ST_Length(metric)::numeric, 2) || ' m', 'a block is at least 1 m long'
FROM stage_key WHERE batch_id = $1 AND GeometryType(metric) = 'LINESTRING' AND ST_Length(metric) < 1`
	// Only a line that meets itself can run back over itself, so the costly
	// union is asked for few.
	faultFoldedStreetSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT batch_id, line, 'position', left(ST_AsText(raw, 6), 120), 'a block does not run back over itself'
FROM stage_key
WHERE batch_id = $1 AND GeometryType(metric) = 'LINESTRING' AND ST_Length(metric) >= 1
  AND CASE WHEN ST_IsSimple(metric) THEN false ELSE ST_Length(ST_UnaryUnion(metric)) < 0.99 * ST_Length(metric) END`

	streetBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM street t
JOIN batch_change c ON c.table_name = 'street' AND c.row_id = t.id AND c.batch_id <> $1
WHERE t.batch_id = $1
UNION ALL
SELECT 'with parking signs posted', count(*) FROM street t
JOIN block_face f ON f.street_id = t.id JOIN parking_sign p ON p.face_id = f.id
WHERE t.batch_id = $1`
	streetNearSQL = `
SELECT DISTINCT s.id FROM site s JOIN (
    SELECT geom FROM street WHERE batch_id = $1
    UNION ALL SELECT t.geom FROM batch_change c JOIN street t ON t.id = c.row_id
    WHERE c.batch_id = $1 AND c.table_name = 'street'
    UNION ALL SELECT (c.before ->> 'geom')::geometry FROM batch_change c
    WHERE c.batch_id = $1 AND c.table_name = 'street') g ON ST_DWithin(s.geom, g.geom, $2::float8)`
	streetUnlinkSQL = `
UPDATE site_fact f SET street_id = NULL, face_id = NULL FROM street t WHERE t.batch_id = $1 AND f.street_id = t.id`
	streetRestoreSQL = `
UPDATE street t SET name = b.name, class = b.class, one_way = b.one_way, speed_kmh = b.speed_kmh, width_mm = b.width_mm,
    lanes = b.lanes, parking = b.parking, bus_route = b.bus_route, truck_route = b.truck_route, bridge = b.bridge,
    max_height_mm = b.max_height_mm, max_weight_kg = b.max_weight_kg, geom = b.geom
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::street, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'street' AND t.id = c.row_id`
	streetRemoveSQL = `DELETE FROM street WHERE batch_id = $1`
)

func streetImport() layerSQL {
	return layerSQL{
		key: streetKeySQL, clear: streetClearSQL, geometry: "LINESTRING", verdict: streetVerdictSQL, examples: streetExampleSQL,
		apply: []string{streetKeepSQL, streetUpdateSQL}, insert: streetInsertSQL, after: []string{streetFacesSQL},
		faults: []string{faultShortStreetSQL, faultFoldedStreetSQL},
		reach:  streetReach,
		undo: undoSQL{
			blocked: streetBlockedSQL, near: streetNearSQL, derived: []string{streetUnlinkSQL},
			restored: []string{streetRestoreSQL}, removed: []string{streetRemoveSQL},
		},
	}
}
