-- +goose Up
-- What the rules read: species traits and policy versions.
CREATE TABLE species (
    code text PRIMARY KEY,
    scientific text NOT NULL,
    common text NOT NULL,
    traits jsonb NOT NULL, -- habit, decay class, ice and snow ratings, droop, sanitation: scheduler.Species
    local boolean NOT NULL DEFAULT false -- changed by the city; a program update leaves it alone
);
CREATE UNIQUE INDEX species_scientific ON species (lower(scientific));

CREATE TABLE policy (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name text NOT NULL,
    adopted_by text NOT NULL DEFAULT '',
    effective date NOT NULL,
    leaf_from integer NOT NULL, -- growing season, month * 100 + day; it may cross New Year
    leaf_to integer NOT NULL,
    source text NOT NULL, -- the YAML as adopted
    hash bytea NOT NULL CONSTRAINT policy_hash UNIQUE,
    made_at timestamptz NOT NULL,
    actor text NOT NULL
);

-- The growing season that a cut made on a day draws on, named by the year in
-- which its leaves come out: the one under way or, with the leaves down, the one to come.
-- MonthSpan.DoseSeason of the program says the same.
CREATE FUNCTION dose_season(d date, leaf_from integer, leaf_to integer) RETURNS integer LANGUAGE sql IMMUTABLE AS $$
    SELECT extract(year FROM d)::integer + (extract(month FROM d) * 100 + extract(day FROM d) > leaf_to)::integer
           - (leaf_from > leaf_to)::integer
$$;

-- The growing season of the newest policy: leaves do not change with the rules.
CREATE VIEW leaf_season AS
SELECT leaf_from, leaf_to FROM policy ORDER BY effective DESC, id DESC LIMIT 1;
