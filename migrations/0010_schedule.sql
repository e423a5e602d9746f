-- +goose Up
-- A scheduled job runs once for each civil date, however many servers there are.
CREATE TABLE cron_run (
    name text NOT NULL,
    civil_date date NOT NULL,
    enqueued_at timestamptz NOT NULL,
    PRIMARY KEY (name, civil_date)
);

-- How far a running job has come; written about once a second and lost in a
-- crash without harm, since the job then starts again. The queue's own tables
-- are made later, so nothing here points at them.
CREATE UNLOGGED TABLE job_progress (
    job_id bigint PRIMARY KEY,
    done bigint NOT NULL,
    total bigint NOT NULL, -- 0 when not known
    what text NOT NULL,
    at timestamptz NOT NULL
);

-- Staging: one table for each layer, with the columns of its target. A batch
-- fills it, the differences are shown, and applying moves them in one transaction.
CREATE UNLOGGED TABLE stage_districts (batch_id bigint NOT NULL, line integer NOT NULL, ref text, name text, geom geometry);
CREATE UNLOGGED TABLE stage_sections (batch_id bigint NOT NULL, line integer NOT NULL, ref text, name text, cycle_year integer, geom geometry);
CREATE UNLOGGED TABLE stage_streets (batch_id bigint NOT NULL, line integer NOT NULL, ref text, name text, class text, one_way text,
    speed_kmh integer, width_mm integer, lanes integer, parking text, bus_route boolean, truck_route boolean, bridge boolean,
    max_height_mm integer, max_weight_kg integer, geom geometry);
CREATE UNLOGGED TABLE stage_walks (batch_id bigint NOT NULL, line integer NOT NULL, ref text, width_mm integer, geom geometry);
CREATE UNLOGGED TABLE stage_wires (batch_id bigint NOT NULL, line integer NOT NULL, ref text, class text, volts integer, height_mm integer, geom geometry);
CREATE UNLOGGED TABLE stage_signs (batch_id bigint NOT NULL, line integer NOT NULL, ref text, kind text, height_mm integer, geom geometry);
CREATE UNLOGGED TABLE stage_depots (batch_id bigint NOT NULL, line integer NOT NULL, ref text, name text, geom geometry);
CREATE UNLOGGED TABLE stage_dumps (batch_id bigint NOT NULL, line integer NOT NULL, ref text, name text, minutes integer, sanitation text, geom geometry);
CREATE UNLOGGED TABLE stage_crews (batch_id bigint NOT NULL, line integer NOT NULL, ref text, name text, depot_ref text, people integer,
    skills text, truck_chips_l integer, truck_height_mm integer, truck_weight_kg integer, shift_start integer, shift_minutes integer, yard_minutes integer, break_minutes integer,
    weekdays integer, equipment text, tickets text);
CREATE UNLOGGED TABLE stage_trees (batch_id bigint NOT NULL, line integer NOT NULL, ref text, species text, state text, owner text, address text,
    planted date, planted_precision text, caliper_mm integer, dbh_mm integer, height_mm integer, crown_spread_mm integer,
    measured_on date, base_road_mm integer, base_walk_mm integer, stems integer, stage text, vigour text, geom geometry);
CREATE UNLOGGED TABLE stage_history (batch_id bigint NOT NULL, line integer NOT NULL, ref text, tree_ref text, done_on date, kind text,
    stage text, live_crown_pct integer, minutes integer, base_road_mm integer, base_walk_mm integer, dbh_mm integer,
    by_whom text, note text);

-- The changes that one due pass, or one work record, makes to the open visits.
-- Only what differs is staged; op is new, changed or withdrawn.
CREATE SEQUENCE stage_visit_pass;
CREATE UNLOGGED TABLE stage_visit (
    pass bigint NOT NULL, tree_id bigint NOT NULL, tree_revision integer NOT NULL, op text NOT NULL, visit_id bigint,
    site_id bigint, kind work_kind, kinds work_kind[], earliest date, due date, latest date, season text,
    state visit_state, closed_until date, hold text, hold_until date, class smallint, score integer, skill crew_skill,
    minutes integer, chips_l integer, dose_pct integer, detail jsonb, origin text, policy_id bigint, as_of date, digest bigint);
CREATE INDEX stage_visit_of_pass ON stage_visit (pass);
