-- +goose Up
-- The ground that trees stand on. Geometry is in the city's metric system;
-- copies in 4326 and 3857 serve exchange and tiles. Millimetres throughout.
CREATE TABLE district (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT district_ref UNIQUE,
    name text NOT NULL,
    version integer NOT NULL DEFAULT 1, -- a moved boundary is a new version, for snapshots
    geom geometry(MultiPolygon) NOT NULL,
    geom_4326 geometry(MultiPolygon, 4326) GENERATED ALWAYS AS (ST_Transform(geom, 4326)) STORED,
    geom_3857 geometry(MultiPolygon, 3857) GENERATED ALWAYS AS (ST_Transform(geom, 3857)) STORED,
    batch_id bigint REFERENCES batch (id)
);
CREATE INDEX district_geom ON district USING gist (geom);

CREATE TABLE section (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT section_ref UNIQUE,
    name text,
    cycle_year integer CONSTRAINT section_cycle_year CHECK (cycle_year BETWEEN 1 AND 20),
    geom geometry(MultiPolygon) NOT NULL,
    geom_4326 geometry(MultiPolygon, 4326) GENERATED ALWAYS AS (ST_Transform(geom, 4326)) STORED,
    geom_3857 geometry(MultiPolygon, 3857) GENERATED ALWAYS AS (ST_Transform(geom, 3857)) STORED,
    batch_id bigint REFERENCES batch (id)
);
CREATE INDEX section_geom ON section USING gist (geom);

CREATE TABLE street (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT street_ref UNIQUE,
    name text,
    class street_class NOT NULL,
    one_way text NOT NULL DEFAULT 'no' CONSTRAINT street_one_way CHECK (one_way IN ('no', 'forward', 'backward')),
    speed_kmh integer CONSTRAINT street_speed CHECK (speed_kmh BETWEEN 5 AND 130),
    width_mm integer CONSTRAINT street_width CHECK (width_mm BETWEEN 2000 AND 60000),
    lanes integer CONSTRAINT street_lanes CHECK (lanes BETWEEN 1 AND 12),
    parking text NOT NULL DEFAULT 'none' CONSTRAINT street_parking CHECK (parking IN ('none', 'left', 'right', 'both')),
    bus_route boolean NOT NULL DEFAULT false,
    truck_route boolean NOT NULL DEFAULT false,
    bridge boolean NOT NULL DEFAULT false,
    max_height_mm integer CONSTRAINT street_max_height CHECK (max_height_mm BETWEEN 1500 AND 10000),
    max_weight_kg integer CONSTRAINT street_max_weight CHECK (max_weight_kg BETWEEN 500 AND 80000),
    geom geometry(LineString) NOT NULL,
    geom_4326 geometry(LineString, 4326) GENERATED ALWAYS AS (ST_Transform(geom, 4326)) STORED,
    geom_3857 geometry(LineString, 3857) GENERATED ALWAYS AS (ST_Transform(geom, 3857)) STORED,
    batch_id bigint REFERENCES batch (id)
);
CREATE INDEX street_geom ON street USING gist (geom);

-- One side of one street between two junctions: the unit of traffic set-up.
CREATE TABLE block_face (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    street_id bigint NOT NULL REFERENCES street (id) ON DELETE CASCADE,
    side tree_side NOT NULL CONSTRAINT block_face_side CHECK (side IN ('left', 'right')),
    CONSTRAINT block_face_one_per_side UNIQUE (street_id, side)
);

CREATE TABLE walk (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT walk_ref UNIQUE,
    width_mm integer CONSTRAINT walk_width CHECK (width_mm BETWEEN 500 AND 20000),
    geom geometry(LineString) NOT NULL,
    geom_4326 geometry(LineString, 4326) GENERATED ALWAYS AS (ST_Transform(geom, 4326)) STORED,
    geom_3857 geometry(LineString, 3857) GENERATED ALWAYS AS (ST_Transform(geom, 3857)) STORED,
    batch_id bigint REFERENCES batch (id)
);
CREATE INDEX walk_geom ON walk USING gist (geom);

-- A line on the map is a corridor, not verified on site.
CREATE TABLE wire (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT wire_ref UNIQUE,
    class wire_class NOT NULL,
    volts integer CONSTRAINT wire_volts CHECK (volts BETWEEN 0 AND 1200000), -- to ground
    height_mm integer CONSTRAINT wire_height CHECK (height_mm BETWEEN 2000 AND 80000),
    geom geometry(LineString) NOT NULL,
    geom_4326 geometry(LineString, 4326) GENERATED ALWAYS AS (ST_Transform(geom, 4326)) STORED,
    geom_3857 geometry(LineString, 3857) GENERATED ALWAYS AS (ST_Transform(geom, 3857)) STORED,
    batch_id bigint REFERENCES batch (id)
);
CREATE INDEX wire_geom ON wire USING gist (geom);

CREATE TABLE sign (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT sign_ref UNIQUE,
    kind text NOT NULL CONSTRAINT sign_kind CHECK (kind IN ('stop', 'sign', 'signal', 'light')),
    height_mm integer CONSTRAINT sign_height CHECK (height_mm BETWEEN 1000 AND 20000),
    geom geometry(Point) NOT NULL,
    geom_4326 geometry(Point, 4326) GENERATED ALWAYS AS (ST_Transform(geom, 4326)) STORED,
    geom_3857 geometry(Point, 3857) GENERATED ALWAYS AS (ST_Transform(geom, 3857)) STORED,
    batch_id bigint REFERENCES batch (id)
);
CREATE INDEX sign_geom ON sign USING gist (geom);
