-- +goose Up
-- Visits are derived from facts and rules; a record completes them.
CREATE TABLE visit (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    tree_id bigint NOT NULL REFERENCES tree (id),
    site_id bigint NOT NULL REFERENCES site (id),
    kind work_kind NOT NULL,
    kinds work_kind[] NOT NULL CONSTRAINT visit_kinds_some CHECK (cardinality(kinds) > 0),
    earliest date,
    due date,
    latest date,
    season text NOT NULL DEFAULT '',
    state visit_state NOT NULL,
    progress visit_progress NOT NULL DEFAULT 'open',
    closed_until date,
    hold text NOT NULL DEFAULT '',
    hold_until date, -- with a hold that a work record set: its recheck date
    class smallint NOT NULL CONSTRAINT visit_class CHECK (class BETWEEN 0 AND 4),
    score integer NOT NULL DEFAULT 0,
    skill crew_skill NOT NULL DEFAULT 'ground',
    minutes integer NOT NULL CONSTRAINT visit_minutes CHECK (minutes BETWEEN 0 AND 1440),
    chips_l integer NOT NULL DEFAULT 0 CONSTRAINT visit_chips CHECK (chips_l >= 0),
    dose_pct integer NOT NULL DEFAULT 0 CONSTRAINT visit_dose CHECK (dose_pct BETWEEN 0 AND 100),
    detail jsonb NOT NULL, -- objectives, limits, cautions, reasons
    origin text NOT NULL DEFAULT 'rules' CONSTRAINT visit_origin CHECK (origin IN ('rules', 'hazard', 'request', 'record')),
    policy_id bigint REFERENCES policy (id),
    as_of date NOT NULL,
    digest bigint NOT NULL DEFAULT 0, -- of the content: the nightly pass writes only what differs
    revision integer NOT NULL DEFAULT 1,
    CONSTRAINT visit_window_in_order CHECK ((earliest IS NULL OR due IS NULL OR earliest <= due) AND (due IS NULL OR latest IS NULL OR due <= latest)),
    CONSTRAINT visit_held_has_reason CHECK (state <> 'held' OR hold <> ''),
    CONSTRAINT visit_closed_has_end CHECK (state <> 'overdue_closed' OR closed_until IS NOT NULL)
);
CREATE UNIQUE INDEX visit_one_open_per_kind ON visit (tree_id, kind) WHERE progress = 'open';
CREATE INDEX visit_open_state ON visit (state, class) WHERE progress = 'open';
CREATE INDEX visit_tree ON visit (tree_id);

-- A visit as the program reads it. Views keep their columns when a later
-- migration gives a table another one, so an older program still reads them.
CREATE VIEW visit_fact AS
SELECT id, tree_id, site_id, kind, kinds, earliest, due, latest, season, state, progress, closed_until, hold, hold_until,
    class, score, skill, minutes, chips_l, dose_pct, detail, origin, coalesce(policy_id, 0) AS policy_id, as_of, digest, revision
FROM visit;

-- One run of the rules over the trees, and what it counted.
CREATE TABLE due_run (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    as_of date NOT NULL,
    policy_id bigint REFERENCES policy (id),
    whole_city boolean NOT NULL,
    stats jsonb NOT NULL,
    ran_at timestamptz NOT NULL,
    actor text NOT NULL
);

-- A tree with the facts of its site, in the order in which the program reads
-- them: one row is all that the rules need, except watch items.
CREATE VIEW tree_fact AS
SELECT t.id, t.ref, t.site_id, coalesce(t.species, '') AS species, t.state, t.planted, t.planted_precision, t.caliper_mm,
    t.stems, t.stage, t.vigour, t.dbh_mm, t.height_mm, t.crown_spread_mm, t.measured_on, t.base_road_mm, t.base_walk_mm,
    t.base_on, t.lowest_permanent_mm, t.last_training, t.last_rotation, t.last_raise, t.last_visit, t.broken_on,
    t.last_restored, t.last_inspected, t.last_watered, t.last_sprouts, t.dose_season, t.dose_used_pct, t.revision,
    s.ref AS site_ref, s.owner, s.address, ST_X(s.geom) AS x, ST_Y(s.geom) AS y,
    coalesce(d.ref, '') AS district, coalesce(sec.ref, '') AS section, coalesce(f.street_id, 0) AS street_id,
    coalesce(f.street_side::text, '') AS street_side, coalesce(f.face_id, 0) AS face_id,
    coalesce(st.class::text, '') AS street_class, coalesce(st.speed_kmh, 0) AS speed_kmh,
    coalesce(st.bus_route, false) AS bus_route, coalesce(st.truck_route, false) AS truck_route,
    coalesce(f.parking, false) AS parking, f.to_curb_mm, f.to_lane_mm, f.half_road_mm, f.to_walk_mm,
    coalesce(f.wire_class, 'none') AS wire_class, coalesce(f.wire_volts, 0) AS wire_volts, f.to_wire_mm, f.wire_height_mm, f.to_sign_mm, f.to_light_mm,
    f.to_junction_mm, coalesce(f.in_sight, false) AS in_sight, f.along_mm, f.district_id, f.section_id
FROM tree t
JOIN site s ON s.id = t.site_id
LEFT JOIN site_fact f ON f.site_id = s.id
LEFT JOIN street st ON st.id = f.street_id
LEFT JOIN district d ON d.id = f.district_id
LEFT JOIN section sec ON sec.id = f.section_id;

-- What residents and officers ask for; duplicates are merged, callers answered.
CREATE TABLE request (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    received_at timestamptz NOT NULL,
    tree_id bigint REFERENCES tree (id),
    what text NOT NULL CONSTRAINT request_what CHECK (what <> ''),
    caller text NOT NULL DEFAULT '',
    state request_state NOT NULL DEFAULT 'open',
    merged_into bigint REFERENCES request (id),
    visit_id bigint REFERENCES visit (id),
    answer text NOT NULL DEFAULT '',
    answered_at timestamptz
);
CREATE INDEX request_tree ON request (tree_id);
