-- +goose Up
-- Where work starts, where chips go, and who does it.
CREATE TABLE depot (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT depot_ref UNIQUE,
    name text NOT NULL,
    geom geometry(Point) NOT NULL,
    geom_4326 geometry(Point, 4326) GENERATED ALWAYS AS (ST_Transform(geom, 4326)) STORED,
    geom_3857 geometry(Point, 3857) GENERATED ALWAYS AS (ST_Transform(geom, 3857)) STORED,
    batch_id bigint REFERENCES batch (id)
);

CREATE TABLE dump (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT dump_ref UNIQUE,
    name text NOT NULL,
    minutes integer NOT NULL DEFAULT 20 CONSTRAINT dump_minutes CHECK (minutes BETWEEN 1 AND 240),
    sanitation text,
    geom geometry(Point) NOT NULL,
    geom_4326 geometry(Point, 4326) GENERATED ALWAYS AS (ST_Transform(geom, 4326)) STORED,
    geom_3857 geometry(Point, 3857) GENERATED ALWAYS AS (ST_Transform(geom, 3857)) STORED,
    batch_id bigint REFERENCES batch (id)
);

CREATE TABLE crew (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    ref text NOT NULL CONSTRAINT crew_ref UNIQUE,
    name text NOT NULL,
    depot_id bigint NOT NULL REFERENCES depot (id),
    people integer NOT NULL CONSTRAINT crew_people CHECK (people BETWEEN 1 AND 12),
    skills crew_skill[] NOT NULL DEFAULT '{ground}',
    truck_chips_l integer NOT NULL DEFAULT 12000 CONSTRAINT crew_truck CHECK (truck_chips_l BETWEEN 0 AND 60000),
    truck_height_mm integer CONSTRAINT crew_truck_height CHECK (truck_height_mm BETWEEN 1500 AND 4500),
    truck_weight_kg integer CONSTRAINT crew_truck_weight CHECK (truck_weight_kg BETWEEN 500 AND 40000), -- loaded
    shift_start integer NOT NULL DEFAULT 420 CONSTRAINT crew_shift_start CHECK (shift_start BETWEEN 0 AND 1439),
    shift_minutes integer NOT NULL DEFAULT 480 CONSTRAINT crew_shift_minutes CHECK (shift_minutes BETWEEN 60 AND 900),
    yard_minutes integer NOT NULL DEFAULT 45 CONSTRAINT crew_yard CHECK (yard_minutes BETWEEN 0 AND 240),
    break_minutes integer NOT NULL DEFAULT 30 CONSTRAINT crew_break CHECK (break_minutes BETWEEN 0 AND 120),
    weekdays integer NOT NULL DEFAULT 31 CONSTRAINT crew_weekdays CHECK (weekdays BETWEEN 1 AND 127),
    equipment text,
    tickets jsonb NOT NULL DEFAULT '[]', -- [{what, expires}]: an expired one cannot be issued work
    batch_id bigint REFERENCES batch (id)
);

-- Leave, holidays, training days, a truck in the shop.
CREATE TABLE crew_day_off (
    crew_id bigint NOT NULL REFERENCES crew (id) ON DELETE CASCADE,
    day date NOT NULL,
    reason text NOT NULL DEFAULT '',
    PRIMARY KEY (crew_id, day)
);
