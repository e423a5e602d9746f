-- +goose Up
CREATE TABLE plan (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    year integer NOT NULL CONSTRAINT plan_year CHECK (year BETWEEN 1900 AND 2200),
    version integer NOT NULL,
    state plan_state NOT NULL DEFAULT 'draft',
    policy_id bigint REFERENCES policy (id),
    made_on date NOT NULL,
    adopted_on date,
    adopted_by text NOT NULL DEFAULT '',
    hours double precision NOT NULL,
    available double precision NOT NULL,
    objective bigint[] NOT NULL,
    bound bigint[] NOT NULL,
    revision integer NOT NULL DEFAULT 1,
    CONSTRAINT plan_version UNIQUE (year, version),
    CONSTRAINT plan_adopted_signed CHECK (state <> 'adopted' OR (adopted_on IS NOT NULL AND adopted_by <> ''))
);
CREATE UNIQUE INDEX plan_one_adopted ON plan (year) WHERE state = 'adopted';

CREATE TABLE plan_line (
    plan_id bigint NOT NULL REFERENCES plan (id) ON DELETE CASCADE,
    visit_id bigint NOT NULL REFERENCES visit (id),
    week date CONSTRAINT plan_line_monday CHECK (extract(isodow FROM week) = 1),
    skill crew_skill NOT NULL,
    minutes integer NOT NULL CONSTRAINT plan_line_minutes CHECK (minutes >= 0),
    carried text NOT NULL DEFAULT '',
    PRIMARY KEY (plan_id, visit_id),
    CONSTRAINT plan_line_week_or_reason CHECK ((week IS NULL) = (carried <> ''))
);
CREATE INDEX plan_line_week ON plan_line (plan_id, week);

CREATE TABLE packet (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    day date NOT NULL,
    crew_id bigint NOT NULL REFERENCES crew (id),
    state packet_state NOT NULL DEFAULT 'draft',
    yard_min integer NOT NULL,
    drive_min integer NOT NULL,
    setup_min integer NOT NULL,
    work_min integer NOT NULL,
    dump_min integer NOT NULL,
    break_min integer NOT NULL,
    slack_min integer NOT NULL,
    bound_min integer NOT NULL,
    revision integer NOT NULL DEFAULT 1,
    made_at timestamptz NOT NULL,
    issued_at timestamptz,
    issued_by text NOT NULL DEFAULT ''
);
CREATE UNIQUE INDEX packet_one_live_per_crew_day ON packet (crew_id, day) WHERE state IN ('draft', 'issued', 'started', 'weather_hold');
CREATE INDEX packet_day ON packet (day);

CREATE TABLE stop (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    packet_id bigint NOT NULL REFERENCES packet (id),
    seq integer NOT NULL CONSTRAINT stop_seq CHECK (seq > 0),
    kind stop_kind NOT NULL,
    visit_id bigint REFERENCES visit (id),
    dump_id bigint REFERENCES dump (id),
    arrive integer NOT NULL CONSTRAINT stop_arrive CHECK (arrive BETWEEN 0 AND 2880),
    drive_min integer NOT NULL,
    setup_min integer NOT NULL,
    work_min integer NOT NULL,
    locked boolean NOT NULL DEFAULT false,
    state stop_state NOT NULL DEFAULT 'planned',
    live boolean NOT NULL DEFAULT true, -- follows the packet's state and the stop's own
    CONSTRAINT stop_seq_once UNIQUE (packet_id, seq) DEFERRABLE INITIALLY DEFERRED,
    CONSTRAINT stop_points_at_its_kind CHECK ((kind = 'tree') = (visit_id IS NOT NULL) AND (kind = 'dump') = (dump_id IS NOT NULL))
);
-- One visit in at most one live packet: nothing is ever booked twice.
CREATE UNIQUE INDEX stop_visit_live_once ON stop (visit_id) WHERE live AND visit_id IS NOT NULL;

-- "live" cannot be forgotten: the packet's state sets it.
-- +goose StatementBegin
CREATE FUNCTION packet_sets_live() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.state IS DISTINCT FROM OLD.state THEN
        UPDATE stop SET live = (NEW.state IN ('draft', 'issued', 'started', 'weather_hold')) AND stop.state = 'planned'
        WHERE packet_id = NEW.id
          AND live IS DISTINCT FROM ((NEW.state IN ('draft', 'issued', 'started', 'weather_hold')) AND stop.state = 'planned');
    END IF;
    RETURN NULL;
END $$;
CREATE FUNCTION stop_sets_live() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    NEW.live := NEW.state = 'planned' AND
        (SELECT p.state IN ('draft', 'issued', 'started', 'weather_hold') FROM packet p WHERE p.id = NEW.packet_id);
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER packet_state_changed AFTER UPDATE OF state ON packet FOR EACH ROW EXECUTE FUNCTION packet_sets_live();
CREATE TRIGGER stop_state_changed BEFORE INSERT OR UPDATE OF state, packet_id ON stop FOR EACH ROW EXECUTE FUNCTION stop_sets_live();

CREATE TABLE parking_sign (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    face_id bigint NOT NULL REFERENCES block_face (id),
    stop_id bigint REFERENCES stop (id),
    posted_by text NOT NULL DEFAULT '',
    posted_at timestamptz,
    valid_from date NOT NULL,
    valid_to date NOT NULL,
    permit text NOT NULL DEFAULT '',
    photo text NOT NULL DEFAULT '',
    CONSTRAINT parking_sign_span CHECK (valid_from <= valid_to)
);
