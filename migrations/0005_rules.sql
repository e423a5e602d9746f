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
    source text NOT NULL, -- the YAML as adopted
    hash bytea NOT NULL CONSTRAINT policy_hash UNIQUE,
    made_at timestamptz NOT NULL,
    actor text NOT NULL
);
