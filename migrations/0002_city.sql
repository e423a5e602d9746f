-- +goose Up
-- One database serves one city: its settings are a single row.
CREATE TABLE city (
    id integer PRIMARY KEY DEFAULT 1 CONSTRAINT city_one_row CHECK (id = 1),
    name text NOT NULL DEFAULT '',
    srid integer CONSTRAINT city_srid_metric CHECK (srid > 0), -- set by the first import, in metres
    time_zone text NOT NULL DEFAULT 'UTC',                     -- decides what "today" is
    units text NOT NULL DEFAULT 'us' CONSTRAINT city_units CHECK (units IN ('us', 'metric')),
    fiscal_month integer NOT NULL DEFAULT 1 CONSTRAINT city_fiscal_month CHECK (fiscal_month BETWEEN 1 AND 12),
    hospital text NOT NULL DEFAULT '',        -- printed on the packet front page
    emergency text NOT NULL DEFAULT '',
    utility_phone text NOT NULL DEFAULT ''
);
INSERT INTO city (id) VALUES (1);

-- Who did what, from the first day. Rows are only ever added.
CREATE TABLE audit (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    at timestamptz NOT NULL,
    actor text NOT NULL CONSTRAINT audit_actor_named CHECK (actor <> ''),
    verb text NOT NULL,
    noun text NOT NULL,
    key text NOT NULL,
    detail jsonb NOT NULL DEFAULT '{}'
);
CREATE INDEX audit_noun_key ON audit (noun, key);
-- +goose StatementBegin
CREATE FUNCTION audit_is_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'audit rows are never changed or deleted' USING ERRCODE = 'restrict_violation';
END $$;
-- +goose StatementEnd
CREATE TRIGGER audit_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON audit
    FOR EACH STATEMENT EXECUTE FUNCTION audit_is_append_only();

-- Bearer tokens; only their SHA-256 is kept.
CREATE TABLE token (
    hash bytea PRIMARY KEY CONSTRAINT token_sha256 CHECK (length(hash) = 32),
    actor text NOT NULL CONSTRAINT token_actor_named CHECK (actor <> ''),
    role text NOT NULL DEFAULT 'manager' CONSTRAINT token_role CHECK (role IN ('manager', 'dispatcher', 'analyst', 'crew')),
    made_at timestamptz NOT NULL,
    expires_at timestamptz
);

-- An import, or an undo, is a batch. Rows carry the batch that made them;
-- rows that a batch changed are kept as they were in batch_change.
CREATE TABLE batch (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    layer text NOT NULL,
    file text NOT NULL,
    actor text NOT NULL,
    state batch_state NOT NULL DEFAULT 'staged',
    started_at timestamptz NOT NULL,
    applied_at timestamptz,
    undone_at timestamptz,
    read_rows integer NOT NULL DEFAULT 0,
    accepted integer NOT NULL DEFAULT 0,
    rejected integer NOT NULL DEFAULT 0,
    merged integer NOT NULL DEFAULT 0,
    unchanged integer NOT NULL DEFAULT 0
);
CREATE TABLE batch_change (
    batch_id bigint NOT NULL REFERENCES batch (id),
    seq bigint GENERATED ALWAYS AS IDENTITY,
    table_name text NOT NULL,
    row_id bigint NOT NULL,
    before jsonb NOT NULL, -- the whole row as it was, geometry as hex EWKB
    PRIMARY KEY (batch_id, seq)
);
