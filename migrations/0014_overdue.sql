-- +goose Up
-- The overdue table as it was on a night, district by district, with what it
-- was computed under: the policy, and which boundary each district had. A night
-- that was made good after an outage is judged by the facts at the time of its pass.
CREATE TABLE overdue_night (
    night date PRIMARY KEY,
    policy_id bigint REFERENCES policy (id),
    run_id bigint NOT NULL REFERENCES due_run (id),
    made_at timestamptz NOT NULL
);

CREATE TABLE overdue_district (
    night date NOT NULL REFERENCES overdue_night (night) ON DELETE CASCADE,
    district_ref text NOT NULL, -- empty for the trees outside every district
    district_version integer NOT NULL,
    name text NOT NULL,
    trees integer NOT NULL, -- standing
    late integer NOT NULL,  -- with an overdue visit
    PRIMARY KEY (night, district_ref)
);

CREATE TABLE overdue_visits (
    night date NOT NULL,
    district_ref text NOT NULL,
    state visit_state NOT NULL,
    kind work_kind NOT NULL,
    visits integer NOT NULL,
    minutes bigint NOT NULL,
    oldest date,
    PRIMARY KEY (night, district_ref, state, kind),
    FOREIGN KEY (night, district_ref) REFERENCES overdue_district (night, district_ref) ON DELETE CASCADE
);
