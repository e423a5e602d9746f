-- +goose Up
-- Import compares what a file says with what the database holds. stage_key has
-- one line for each staged row of any layer: which row it means, where it lies,
-- and what becomes of it. The want_ views say what a row would make of its
-- target: a value that the file leaves out never erases one that is known.
ALTER TABLE batch ADD COLUMN checked_after bigint; -- applied and undone batches of related layers when it was checked
CREATE INDEX batch_change_row ON batch_change (table_name, row_id);

CREATE UNLOGGED TABLE stage_key (
    batch_id bigint NOT NULL,
    line integer NOT NULL,
    ref text,
    raw geometry,        -- as in the file
    metric geometry,     -- in the city's system; NULL when it cannot be expressed there
    was geometry,        -- of the target, before
    target bigint,       -- the row that has this key already
    anchor bigint,       -- trees: the existing site that the row stands on
    anchor_line integer, -- trees: the row of this file whose site it shares, or into which it is merged
    verdict text CONSTRAINT stage_key_verdict CHECK (verdict IN ('new', 'changed', 'unchanged', 'merged', 'fault')),
    into_ref text,       -- merged: the key that stands for both
    why text,
    PRIMARY KEY (batch_id, line)
) WITH (fillfactor = 50); -- each row gets its verdict later: room beside it spares the indexes
CREATE INDEX stage_key_target ON stage_key (batch_id, target) WHERE target IS NOT NULL;

CREATE UNLOGGED TABLE stage_fault (
    batch_id bigint NOT NULL,
    line integer NOT NULL,
    field text NOT NULL,
    value text NOT NULL,
    rule text NOT NULL
);
CREATE INDEX stage_fault_line ON stage_fault (batch_id, line);

ALTER TABLE stage_districts ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_sections ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_streets ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_walks ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_wires ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_signs ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_depots ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_dumps ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_crews ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_trees ADD PRIMARY KEY (batch_id, line);
ALTER TABLE stage_history ADD PRIMARY KEY (batch_id, line);
-- The words of a crew's skills and tickets, read into their stored form.
ALTER TABLE stage_crews ADD COLUMN skill_list crew_skill[], ADD COLUMN ticket_list jsonb;

-- A position in the city's system, or NULL when it has none there. One bad
-- position must not stop the rows around it, so the projection's error is caught.
-- +goose StatementBegin
CREATE FUNCTION city_geom(g geometry, srid integer) RETURNS geometry
LANGUAGE plpgsql IMMUTABLE STRICT PARALLEL SAFE AS $$
DECLARE
    r geometry;
BEGIN
    r := ST_Transform(g, srid);
    IF ST_XMin(r) > -1e8 AND ST_XMax(r) < 1e8 AND ST_YMin(r) > -1e8 AND ST_YMax(r) < 1e8 THEN
        RETURN r;
    END IF;
    RETURN NULL;
EXCEPTION WHEN OTHERS THEN
    RETURN NULL;
END $$;
-- +goose StatementEnd

CREATE VIEW want_districts AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, w.*, (t.name, t.geom) IS DISTINCT FROM (w.name, w.geom) AS differs
FROM stage_key k
JOIN stage_districts s USING (batch_id, line)
LEFT JOIN district t ON t.id = k.target
CROSS JOIN LATERAL (SELECT coalesce(s.name, t.name) AS name, k.metric AS geom) w;

CREATE VIEW want_sections AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, w.*,
       (t.name, t.cycle_year, t.geom) IS DISTINCT FROM (w.name, w.cycle_year, w.geom) AS differs
FROM stage_key k
JOIN stage_sections s USING (batch_id, line)
LEFT JOIN section t ON t.id = k.target
CROSS JOIN LATERAL (
    SELECT coalesce(s.name, t.name) AS name, coalesce(s.cycle_year, t.cycle_year) AS cycle_year, k.metric AS geom) w;

CREATE VIEW want_streets AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, w.*,
       (t.name, t.class, t.one_way, t.speed_kmh, t.width_mm, t.lanes, t.parking, t.bus_route, t.truck_route, t.bridge,
        t.max_height_mm, t.max_weight_kg, t.geom)
       IS DISTINCT FROM
       (w.name, w.class, w.one_way, w.speed_kmh, w.width_mm, w.lanes, w.parking, w.bus_route, w.truck_route, w.bridge,
        w.max_height_mm, w.max_weight_kg, w.geom) AS differs
FROM stage_key k
JOIN stage_streets s USING (batch_id, line)
LEFT JOIN street t ON t.id = k.target
CROSS JOIN LATERAL (
    SELECT coalesce(s.name, t.name) AS name, coalesce(s.class::street_class, t.class) AS class,
           coalesce(s.one_way, t.one_way, 'no') AS one_way, coalesce(s.speed_kmh, t.speed_kmh) AS speed_kmh,
           coalesce(s.width_mm, t.width_mm) AS width_mm, coalesce(s.lanes, t.lanes) AS lanes,
           coalesce(s.parking, t.parking, 'none') AS parking, coalesce(s.bus_route, t.bus_route, false) AS bus_route,
           coalesce(s.truck_route, t.truck_route, false) AS truck_route, coalesce(s.bridge, t.bridge, false) AS bridge,
           coalesce(s.max_height_mm, t.max_height_mm) AS max_height_mm,
           coalesce(s.max_weight_kg, t.max_weight_kg) AS max_weight_kg, k.metric AS geom) w;

CREATE VIEW want_walks AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, w.*, (t.width_mm, t.geom) IS DISTINCT FROM (w.width_mm, w.geom) AS differs
FROM stage_key k
JOIN stage_walks s USING (batch_id, line)
LEFT JOIN walk t ON t.id = k.target
CROSS JOIN LATERAL (SELECT coalesce(s.width_mm, t.width_mm) AS width_mm, k.metric AS geom) w;

CREATE VIEW want_wires AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, w.*,
       (t.class, t.volts, t.height_mm, t.geom) IS DISTINCT FROM (w.class, w.volts, w.height_mm, w.geom) AS differs
FROM stage_key k
JOIN stage_wires s USING (batch_id, line)
LEFT JOIN wire t ON t.id = k.target
CROSS JOIN LATERAL (
    SELECT coalesce(s.class::wire_class, t.class) AS class, coalesce(s.volts, t.volts) AS volts,
           coalesce(s.height_mm, t.height_mm) AS height_mm, k.metric AS geom) w;

CREATE VIEW want_signs AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, w.*,
       (t.kind, t.height_mm, t.geom) IS DISTINCT FROM (w.kind, w.height_mm, w.geom) AS differs
FROM stage_key k
JOIN stage_signs s USING (batch_id, line)
LEFT JOIN sign t ON t.id = k.target
CROSS JOIN LATERAL (
    SELECT coalesce(s.kind, t.kind) AS kind, coalesce(s.height_mm, t.height_mm) AS height_mm, k.metric AS geom) w;

CREATE VIEW want_depots AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, w.*, (t.name, t.geom) IS DISTINCT FROM (w.name, w.geom) AS differs
FROM stage_key k
JOIN stage_depots s USING (batch_id, line)
LEFT JOIN depot t ON t.id = k.target
CROSS JOIN LATERAL (SELECT coalesce(s.name, t.name) AS name, k.metric AS geom) w;

CREATE VIEW want_dumps AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, w.*,
       (t.name, t.minutes, t.sanitation, t.geom) IS DISTINCT FROM (w.name, w.minutes, w.sanitation, w.geom) AS differs
FROM stage_key k
JOIN stage_dumps s USING (batch_id, line)
LEFT JOIN dump t ON t.id = k.target
CROSS JOIN LATERAL (
    SELECT coalesce(s.name, t.name) AS name, coalesce(s.minutes, t.minutes, 20) AS minutes,
           coalesce(s.sanitation, t.sanitation) AS sanitation, k.metric AS geom) w;

CREATE VIEW want_crews AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, w.*,
       (t.name, t.depot_id, t.people, t.skills, t.truck_chips_l, t.truck_height_mm, t.truck_weight_kg, t.shift_start,
        t.shift_minutes, t.yard_minutes, t.break_minutes, t.weekdays, t.equipment, t.tickets)
       IS DISTINCT FROM
       (w.name, w.depot_id, w.people, w.skills, w.truck_chips_l, w.truck_height_mm, w.truck_weight_kg, w.shift_start,
        w.shift_minutes, w.yard_minutes, w.break_minutes, w.weekdays, w.equipment, w.tickets) AS differs
FROM stage_key k
JOIN stage_crews s USING (batch_id, line)
LEFT JOIN crew t ON t.id = k.target
LEFT JOIN depot d ON d.ref = s.depot_ref
CROSS JOIN LATERAL (
    SELECT coalesce(s.name, t.name) AS name, coalesce(d.id, t.depot_id) AS depot_id, coalesce(s.people, t.people) AS people,
           coalesce(s.skill_list, t.skills, '{ground}') AS skills,
           coalesce(s.truck_chips_l, t.truck_chips_l, 12000) AS truck_chips_l,
           coalesce(s.truck_height_mm, t.truck_height_mm) AS truck_height_mm,
           coalesce(s.truck_weight_kg, t.truck_weight_kg) AS truck_weight_kg,
           coalesce(s.shift_start, t.shift_start, 420) AS shift_start,
           coalesce(s.shift_minutes, t.shift_minutes, 480) AS shift_minutes,
           coalesce(s.yard_minutes, t.yard_minutes, 45) AS yard_minutes,
           coalesce(s.break_minutes, t.break_minutes, 30) AS break_minutes, coalesce(s.weekdays, t.weekdays, 31) AS weekdays,
           coalesce(s.equipment, t.equipment) AS equipment, coalesce(s.ticket_list, t.tickets, '[]') AS tickets) w;

-- A tree row carries the facts of a tree and of its site. Measured facts count
-- only when the file does not say that they are older than what is known:
-- work records and later inventories are never overwritten by an old file.
--   sized, based   the file's sizes, its crown bases, are not older than ours
--   fresh          its judgements (stage, vigour, state) are not older than the last visit
-- A row speaks for its site when its tree stands there, or is the only one.
CREATE VIEW want_trees AS
SELECT k.batch_id, k.line, k.ref, k.target, k.verdict, k.anchor, k.anchor_line, k.raw, st.id AS site_id, w.*,
       t.id IS NOT NULL AND
       (t.species, t.state, t.planted, t.planted_precision, t.caliper_mm, t.stems, t.stage, t.vigour, t.dbh_mm, t.height_mm,
        t.crown_spread_mm, t.measured_on, t.base_road_mm, t.base_walk_mm, t.base_on)
       IS DISTINCT FROM
       (w.species, w.state, w.planted, w.planted_precision, w.caliper_mm, w.stems, w.stage, w.vigour, w.dbh_mm, w.height_mm,
        w.crown_spread_mm, w.measured_on, w.base_road_mm, w.base_walk_mm, w.base_on) AS tree_differs,
       p.speaks AND (st.owner, st.address, st.geom) IS DISTINCT FROM (w.owner, w.address, w.geom) AS site_differs,
       p.speaks AND k.target IS NOT NULL AND st.geom IS DISTINCT FROM w.geom AS moved
FROM stage_key k
JOIN stage_trees s USING (batch_id, line)
LEFT JOIN tree t ON t.id = k.target
LEFT JOIN site st ON st.id = coalesce(t.site_id, k.anchor)
CROSS JOIN LATERAL (
    SELECT num_nonnulls(s.dbh_mm, s.height_mm, s.crown_spread_mm) > 0
               AND coalesce(s.measured_on >= t.measured_on, t.measured_on IS NULL) AS sized,
           num_nonnulls(s.base_road_mm, s.base_walk_mm) > 0
               AND coalesce(s.measured_on >= t.base_on, t.base_on IS NULL) AS based,
           coalesce(s.measured_on >= t.last_visit, t.last_visit IS NULL) AS fresh) f
CROSS JOIN LATERAL (
    SELECT coalesce(s.species, t.species) AS species,
           CASE WHEN t.id IS NULL OR s.state IS NULL THEN coalesce(t.state, s.state::tree_state, 'alive')
                WHEN s.state = 'vacant' AND EXISTS (
                    SELECT 1 FROM tree o WHERE o.site_id = t.site_id AND o.id <> t.id AND o.state IN ('alive', 'dead', 'stump')) THEN t.state
                WHEN f.fresh OR s.state::tree_state > t.state THEN s.state::tree_state
                ELSE t.state END AS state,
           coalesce(s.planted, t.planted) AS planted,
           CASE WHEN s.planted IS NULL THEN coalesce(t.planted_precision, 'none')
                ELSE coalesce(s.planted_precision::date_precision, 'day') END AS planted_precision,
           coalesce(s.caliper_mm, t.caliper_mm) AS caliper_mm, coalesce(s.stems, t.stems, 1) AS stems,
           CASE WHEN s.stage IS NULL OR s.stage = 'not_assessed' THEN coalesce(t.stage, 'not_assessed')
                WHEN t.last_visit IS NULL THEN s.stage::training_stage
                WHEN f.fresh THEN greatest(s.stage::training_stage, t.stage)
                ELSE t.stage END AS stage,
           CASE WHEN s.vigour IS NOT NULL AND f.fresh THEN s.vigour::vigour_class ELSE coalesce(t.vigour, 'good') END AS vigour,
           CASE WHEN f.sized THEN coalesce(s.dbh_mm, t.dbh_mm) ELSE t.dbh_mm END AS dbh_mm,
           CASE WHEN f.sized THEN coalesce(s.height_mm, t.height_mm) ELSE t.height_mm END AS height_mm,
           CASE WHEN f.sized THEN coalesce(s.crown_spread_mm, t.crown_spread_mm) ELSE t.crown_spread_mm END AS crown_spread_mm,
           CASE WHEN f.sized THEN s.measured_on ELSE t.measured_on END AS measured_on,
           CASE WHEN f.based THEN coalesce(s.base_road_mm, t.base_road_mm) ELSE t.base_road_mm END AS base_road_mm,
           CASE WHEN f.based THEN coalesce(s.base_walk_mm, t.base_walk_mm) ELSE t.base_walk_mm END AS base_walk_mm,
           CASE WHEN f.based THEN s.measured_on ELSE t.base_on END AS base_on,
           f.sized, f.based,
           coalesce(s.owner::owner_kind, st.owner, 'city') AS owner, coalesce(s.address, st.address, '') AS address,
           -- A millimetre is within the noise of a projection: such a site has not moved.
           CASE WHEN ST_DWithin(st.geom, k.metric, 0.001) THEN st.geom ELSE k.metric END AS geom) w
CROSS JOIN LATERAL (
    SELECT CASE WHEN st.id IS NULL THEN false
                WHEN w.state IN ('alive', 'dead', 'stump') THEN true
                WHEN t.id IS NULL THEN false
                ELSE NOT EXISTS (SELECT 1 FROM tree o WHERE o.site_id = st.id AND o.id <> t.id) END AS speaks) p;

-- A past visit. Its record's id follows from its key, so that the same file
-- makes the same records; the digest tells whether the content is the same too.
CREATE VIEW want_history AS
SELECT k.batch_id, k.line, k.ref, k.verdict, t.id AS tree_id, md5('history ' || k.ref)::uuid AS id,
       sha256(convert_to(jsonb_build_array(s.tree_ref, s.done_on, s.kind, s.stage, s.live_crown_pct, s.minutes,
           s.base_road_mm, s.base_walk_mm, s.dbh_mm, s.by_whom, s.note)::text, 'UTF8')) AS digest,
       s.tree_ref, s.done_on, s.kind::work_kind AS kind, s.stage::training_stage AS stage,
       coalesce(s.live_crown_pct, 0) AS live_crown_pct, s.minutes, s.base_road_mm, s.base_walk_mm, s.dbh_mm,
       coalesce(s.by_whom, '') AS by_whom, s.note,
       -- Only the day is known: the record is set at noon of the city's clock.
       (s.done_on + time '12:00') AT TIME ZONE (SELECT c.time_zone FROM city c) AS finished_at,
       dose_season(s.done_on, leaf.leaf_from, leaf.leaf_to) AS season
FROM stage_key k
JOIN stage_history s USING (batch_id, line)
LEFT JOIN leaf_season leaf ON true
LEFT JOIN tree t ON t.ref = s.tree_ref;

-- What the new past visits of a batch make of their trees' newest facts. Facts
-- only move to newer ones, and a stage only forward.
CREATE VIEW history_facts AS
SELECT h.batch_id, h.tree_id, w.*,
       (t.stage, t.dbh_mm, t.measured_on, t.base_road_mm, t.base_walk_mm, t.base_on, t.last_training, t.last_rotation,
        t.last_raise, t.last_visit, t.broken_on, t.last_restored, t.last_inspected, t.last_watered, t.last_sprouts,
        t.dose_season, t.dose_used_pct)
       IS DISTINCT FROM
       (w.stage, w.dbh_mm, w.measured_on, w.base_road_mm, w.base_walk_mm, w.base_on, w.last_training, w.last_rotation,
        w.last_raise, w.last_visit, w.broken_on, w.last_restored, w.last_inspected, w.last_watered, w.last_sprouts,
        w.dose_season, w.dose_used_pct) AS differs
FROM (
    SELECT r.batch_id, r.tree_id, max(r.stage) AS stage,
           max(r.done_on) FILTER (WHERE r.kind = 'training') AS last_training,
           max(r.done_on) FILTER (WHERE r.kind = 'rotation_prune') AS last_rotation,
           max(r.done_on) FILTER (WHERE r.kind IN ('road_clearance', 'walk_clearance')) AS last_raise,
           max(r.done_on) FILTER (WHERE r.kind NOT IN ('watering', 'basal_sprouts')) AS last_visit,
           max(r.done_on) FILTER (WHERE r.kind = 'make_safe') AS broken_on,
           max(r.done_on) FILTER (WHERE r.kind = 'restoration') AS last_restored,
           max(r.done_on) FILTER (WHERE r.kind IN ('inspection', 'establishment', 'first_look')) AS last_inspected,
           max(r.done_on) FILTER (WHERE r.kind = 'watering') AS last_watered,
           max(r.done_on) FILTER (WHERE r.kind = 'basal_sprouts') AS last_sprouts,
           max(r.season) AS season,
           least(100, sum(r.live_crown_pct) FILTER (WHERE r.season = r.newest_season))::integer AS used,
           (array_agg(r.dbh_mm ORDER BY r.done_on DESC, r.line DESC) FILTER (WHERE r.sized))[1] AS dbh_mm,
           max(r.done_on) FILTER (WHERE r.sized) AS measured_on,
           (array_agg(r.base_road_mm ORDER BY r.done_on DESC, r.line DESC) FILTER (WHERE r.based AND r.base_road_mm > 0))[1] AS base_road_mm,
           (array_agg(r.base_walk_mm ORDER BY r.done_on DESC, r.line DESC) FILTER (WHERE r.based AND r.base_walk_mm > 0))[1] AS base_walk_mm,
           max(r.done_on) FILTER (WHERE r.based) AS base_on
    FROM (
        SELECT n.*, max(n.season) OVER (PARTITION BY n.batch_id, n.tree_id) AS newest_season,
               n.dbh_mm > 0 AND n.done_on >= coalesce(b.measured_on, '-infinity') AS sized,
               greatest(n.base_road_mm, n.base_walk_mm) > 0 AND n.done_on >= coalesce(b.base_on, '-infinity') AS based
        FROM want_history n JOIN tree b ON b.id = n.tree_id
        WHERE n.verdict = 'new') r
    GROUP BY r.batch_id, r.tree_id) h
JOIN tree t ON t.id = h.tree_id
CROSS JOIN LATERAL (
    SELECT greatest(h.stage, t.stage) AS stage, coalesce(h.dbh_mm, t.dbh_mm) AS dbh_mm,
           coalesce(h.measured_on, t.measured_on) AS measured_on, coalesce(h.base_road_mm, t.base_road_mm) AS base_road_mm,
           coalesce(h.base_walk_mm, t.base_walk_mm) AS base_walk_mm, coalesce(h.base_on, t.base_on) AS base_on,
           greatest(h.last_training, t.last_training) AS last_training,
           greatest(h.last_rotation, t.last_rotation) AS last_rotation,
           greatest(h.last_raise, t.last_raise) AS last_raise, greatest(h.last_visit, t.last_visit) AS last_visit,
           greatest(h.broken_on, t.broken_on) AS broken_on, greatest(h.last_restored, t.last_restored) AS last_restored,
           greatest(h.last_inspected, t.last_inspected) AS last_inspected,
           greatest(h.last_watered, t.last_watered) AS last_watered, greatest(h.last_sprouts, t.last_sprouts) AS last_sprouts,
           greatest(h.season, t.dose_season) AS dose_season,
           CASE WHEN h.season > t.dose_season THEN h.used
                WHEN h.season = t.dose_season THEN least(100, t.dose_used_pct + h.used)
                ELSE t.dose_used_pct END AS dose_used_pct) w;
