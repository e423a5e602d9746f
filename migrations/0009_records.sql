-- +goose Up
-- Record ids are made by the client. They have a key table of their own, so that
-- records can be partitioned by year later without losing "sent twice is once".
CREATE TABLE record_key (
    id uuid PRIMARY KEY,
    digest bytea NOT NULL, -- of the content: the same id with other content is refused
    received_at timestamptz NOT NULL
);

CREATE TABLE work_record (
    id uuid PRIMARY KEY REFERENCES record_key (id),
    tree_id bigint NOT NULL REFERENCES tree (id),
    visit_id bigint REFERENCES visit (id),
    packet_id bigint REFERENCES packet (id),
    crew_id bigint REFERENCES crew (id),
    by_whom text NOT NULL,
    started_at timestamptz NOT NULL,
    finished_at timestamptz NOT NULL,
    done_on date NOT NULL, -- the city's civil date of the finish
    kinds work_kind[] NOT NULL CONSTRAINT record_kinds_some CHECK (cardinality(kinds) > 0),
    outcome record_outcome NOT NULL,
    could_not could_not,
    live_crown_pct integer NOT NULL DEFAULT 0 CONSTRAINT record_live_crown CHECK (live_crown_pct BETWEEN 0 AND 100),
    minutes integer,
    body jsonb NOT NULL, -- the record as it was sent
    source text NOT NULL CONSTRAINT record_source CHECK (source IN ('field', 'history')),
    actor text NOT NULL,
    received_at timestamptz NOT NULL,
    batch_id bigint REFERENCES batch (id),
    history_ref text, -- key of the row it was imported from
    answer jsonb,     -- what was answered: the same record sent again gets the same words
    CONSTRAINT record_times_in_order CHECK (started_at <= finished_at),
    CONSTRAINT record_not_done_coded CHECK ((outcome = 'not_done') = (could_not IS NOT NULL) OR outcome = 'part')
);
CREATE INDEX work_record_tree ON work_record (tree_id, done_on);
CREATE INDEX work_record_visit ON work_record (visit_id);
CREATE INDEX work_record_batch ON work_record (batch_id);
CREATE UNIQUE INDEX work_record_history_ref ON work_record (history_ref) WHERE history_ref IS NOT NULL;

-- The facts of a tree as they were before its first record. Every record reads
-- all of the tree's records over this base, so that their order of arrival does not count. An
-- import that changes the tree ends the base: the next record takes the facts as
-- the import left them, and notes which records they hold already.
CREATE TABLE tree_base (
    tree_id bigint PRIMARY KEY REFERENCES tree (id) ON DELETE CASCADE,
    state tree_state NOT NULL,
    stage training_stage NOT NULL,
    vigour vigour_class NOT NULL,
    dbh_mm integer,
    height_mm integer,
    crown_spread_mm integer,
    measured_on date,
    base_road_mm integer,
    base_walk_mm integer,
    base_on date,
    lowest_permanent_mm integer,
    last_training date,
    last_rotation date,
    last_raise date,
    last_visit date,
    broken_on date,
    last_restored date,
    last_inspected date,
    last_watered date,
    last_sprouts date,
    dose_season integer NOT NULL,
    dose_used_pct integer NOT NULL,
    held uuid[] NOT NULL -- records whose facts the base holds
);

-- A watch item is known by the record that found it and its place there.
ALTER TABLE watch_item ADD COLUMN record_id uuid NOT NULL REFERENCES work_record (id), ADD COLUMN place smallint NOT NULL,
    ADD CONSTRAINT watch_item_found_once UNIQUE (record_id, place);

-- A danger seen in the field: who saw it, when, who was told, by when.
CREATE TABLE hazard (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    tree_id bigint NOT NULL REFERENCES tree (id),
    record_id uuid REFERENCES work_record (id),
    visit_id bigint REFERENCES visit (id),
    what text NOT NULL,
    class smallint NOT NULL CONSTRAINT hazard_class CHECK (class IN (0, 1)),
    seen_by text NOT NULL,
    seen_at timestamptz NOT NULL,
    called_to text NOT NULL,
    act_by timestamptz NOT NULL
);
CREATE INDEX hazard_record ON hazard (record_id);

-- What the code of a visit that could not be done sets for later ones. Visits
-- are derived again every night; these rows are why a hold outlives the night.
CREATE TABLE follow_up (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    tree_id bigint NOT NULL REFERENCES tree (id),
    record_id uuid NOT NULL REFERENCES work_record (id) CONSTRAINT follow_up_of_record UNIQUE,
    code could_not NOT NULL,
    kind work_kind,                     -- the visit it is about; NULL for all work that the code stops
    set_on date NOT NULL,
    until date,                         -- recheck date of the hold; NULL while it lasts until lifted
    hold text NOT NULL DEFAULT '',      -- reason, when the work is held
    skill crew_skill NOT NULL DEFAULT 'ground', -- least skill of the next try
    first boolean NOT NULL DEFAULT false,       -- on top of the next day's list
    caution text NOT NULL DEFAULT '',
    lifted_by work_kind,                -- a done record of this kind ends it
    ended_on date
);
CREATE INDEX follow_up_tree ON follow_up (tree_id) WHERE ended_on IS NULL;

-- The log of departures from the policy: what a record did otherwise than the
-- policy in force on its day allowed, and what the manager writes down. A record sent twice logs once.
CREATE TABLE deviation (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    policy_id bigint NOT NULL REFERENCES policy (id),
    tree_id bigint REFERENCES tree (id),
    record_id uuid REFERENCES work_record (id),
    rule text NOT NULL CONSTRAINT deviation_rule CHECK (rule IN
        ('live_crown', 'closed_season', 'cut_size', 'cut_table', 'crown_base', 'growing_season', 'wire', 'other')),
    item text NOT NULL DEFAULT '', -- letter of the watch item, or the side
    allowed text NOT NULL DEFAULT '',
    found text NOT NULL DEFAULT '',
    why text NOT NULL DEFAULT '',
    approved_by text NOT NULL DEFAULT '',
    on_date date NOT NULL,
    actor text NOT NULL,
    made_at timestamptz NOT NULL,
    CONSTRAINT deviation_once UNIQUE (record_id, rule, item),
    CONSTRAINT deviation_of_nobody CHECK (record_id IS NOT NULL OR (why <> '' AND approved_by <> ''))
);
CREATE INDEX deviation_on ON deviation (on_date);
CREATE INDEX deviation_tree ON deviation (tree_id);
