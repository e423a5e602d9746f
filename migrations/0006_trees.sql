-- +goose Up
-- A site outlives its trees. Its geometry is reduced to numbers, so that the
-- rules need no geometry; NULL means "none near" or "not known".
CREATE TABLE site (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT site_ref UNIQUE,
    owner owner_kind NOT NULL DEFAULT 'city',
    address text NOT NULL DEFAULT '',
    source_srid integer NOT NULL,   -- what the file said, kept for audits of a wrong datum
    source_x double precision NOT NULL,
    source_y double precision NOT NULL,
    geom geometry(Point) NOT NULL CONSTRAINT site_not_at_zero CHECK (NOT (ST_X(geom) = 0 AND ST_Y(geom) = 0)),
    geom_4326 geometry(Point, 4326) GENERATED ALWAYS AS (ST_Transform(geom, 4326)) STORED,
    geom_3857 geometry(Point, 3857) GENERATED ALWAYS AS (ST_Transform(geom, 3857)) STORED,
    batch_id bigint REFERENCES batch (id)
);
CREATE INDEX site_geom ON site USING gist (geom);
CREATE INDEX site_geom_3857 ON site USING gist (geom_3857);
CREATE INDEX site_batch ON site (batch_id);

-- The reduced geometry, in a table of its own: it is derived and can be made
-- again from the layers at any time.
CREATE TABLE site_fact (
    site_id bigint PRIMARY KEY REFERENCES site (id) ON DELETE CASCADE,
    district_id bigint REFERENCES district (id) ON DELETE SET NULL,
    section_id bigint REFERENCES section (id) ON DELETE SET NULL,
    street_id bigint REFERENCES street (id) ON DELETE SET NULL,
    street_side tree_side,
    face_id bigint REFERENCES block_face (id) ON DELETE SET NULL,
    along_mm integer, -- from the block's first vertex to the foot of the tree on it
    parking boolean NOT NULL DEFAULT false,
    to_curb_mm integer,
    to_lane_mm integer,
    half_road_mm integer,
    to_walk_mm integer,
    wire_class wire_class NOT NULL DEFAULT 'none',
    wire_volts integer, -- to ground, of the line that counts
    to_wire_mm integer,
    wire_height_mm integer,
    to_sign_mm integer,
    to_light_mm integer,
    to_junction_mm integer,
    in_sight boolean NOT NULL DEFAULT false
);
CREATE INDEX site_fact_district ON site_fact (district_id);
CREATE INDEX site_fact_face ON site_fact (face_id);
CREATE INDEX site_fact_street ON site_fact (street_id);

CREATE TABLE tree (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT tree_ref UNIQUE,
    site_id bigint NOT NULL REFERENCES site (id),
    species text REFERENCES species (code),
    state tree_state NOT NULL DEFAULT 'alive',
    planted date,
    planted_precision date_precision NOT NULL DEFAULT 'none',
    caliper_mm integer CONSTRAINT tree_caliper CHECK (caliper_mm BETWEEN 5 AND 300),
    stems integer NOT NULL DEFAULT 1 CONSTRAINT tree_stems CHECK (stems BETWEEN 1 AND 30),
    stage training_stage NOT NULL DEFAULT 'not_assessed',
    vigour vigour_class NOT NULL DEFAULT 'good',
    -- newest facts; the history is in measurement and work_record
    dbh_mm integer CONSTRAINT tree_dbh CHECK (dbh_mm BETWEEN 0 AND 4000),
    height_mm integer CONSTRAINT tree_height CHECK (height_mm BETWEEN 0 AND 60000),
    crown_spread_mm integer CONSTRAINT tree_crown CHECK (crown_spread_mm BETWEEN 0 AND 45000),
    measured_on date,
    base_road_mm integer CONSTRAINT tree_base_road CHECK (base_road_mm BETWEEN 0 AND 30000),
    base_walk_mm integer CONSTRAINT tree_base_walk CHECK (base_walk_mm BETWEEN 0 AND 30000),
    base_on date,
    lowest_permanent_mm integer CONSTRAINT tree_permanent CHECK (lowest_permanent_mm BETWEEN 0 AND 30000),
    last_training date,
    last_rotation date,
    last_raise date,
    last_visit date,
    broken_on date,
    last_restored date,
    last_inspected date,
    last_watered date,
    last_sprouts date,
    dose_season integer NOT NULL DEFAULT 0,
    dose_used_pct integer NOT NULL DEFAULT 0 CONSTRAINT tree_dose CHECK (dose_used_pct BETWEEN 0 AND 100),
    revision integer NOT NULL DEFAULT 1, -- edit counter behind the ETag
    batch_id bigint REFERENCES batch (id),
    CONSTRAINT tree_living_has_species CHECK (species IS NOT NULL OR state IN ('vacant', 'stump', 'removed', 'dead'))
);
CREATE INDEX tree_site ON tree (site_id);
CREATE UNIQUE INDEX tree_one_standing_per_site ON tree (site_id) WHERE state IN ('alive', 'dead', 'stump');
CREATE INDEX tree_batch ON tree (batch_id);

CREATE TABLE measurement (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    tree_id bigint NOT NULL REFERENCES tree (id),
    on_date date NOT NULL,
    dbh_mm integer,
    height_mm integer,
    crown_spread_mm integer,
    base_road_mm integer,
    base_walk_mm integer,
    source text NOT NULL, -- import, field, history
    record_id uuid,
    batch_id bigint REFERENCES batch (id),
    CONSTRAINT measurement_says_something CHECK (num_nonnulls(dbh_mm, height_mm, crown_spread_mm, base_road_mm, base_walk_mm) > 0)
);
CREATE INDEX measurement_tree ON measurement (tree_id, on_date);
CREATE INDEX measurement_batch ON measurement (batch_id);

CREATE TABLE watch_item (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    tree_id bigint NOT NULL REFERENCES tree (id),
    letter text NOT NULL CONSTRAINT watch_letter CHECK (letter ~ '^[A-Z]{1,2}$'),
    what text NOT NULL CONSTRAINT watch_what CHECK (what <> ''),
    height_mm integer,
    side tree_side,
    diameter_mm integer,
    stem_diameter_mm integer,
    included_bark boolean NOT NULL DEFAULT false,
    done text NOT NULL DEFAULT '',
    intent watch_intent NOT NULL,
    reduced_on date,
    seen_on date NOT NULL,
    next_check date,
    resolved boolean NOT NULL DEFAULT false
);
CREATE UNIQUE INDEX watch_item_open_letter ON watch_item (tree_id, letter) WHERE NOT resolved;
