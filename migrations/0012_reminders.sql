-- +goose Up
-- What somebody must see to by a day that no visit stands for: warranties,
-- parking signs, people's and machines' tickets. Reminders are derived from facts every
-- morning; a row is one cause on one day, however often they are derived.
CREATE TYPE reminder_kind AS ENUM ('warranty', 'sign_missing', 'sign_expiry', 'ticket');
CREATE TYPE reminder_state AS ENUM ('open', 'done', 'withdrawn');

CREATE TABLE reminder (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    kind reminder_kind NOT NULL,
    subject text NOT NULL CONSTRAINT reminder_subject CHECK (subject <> ''),
    due_on date NOT NULL,   -- from this day on somebody should act
    last_day date NOT NULL, -- the warranty, the sign or the ticket ends on it; a sign to be posted: the day of the work
    text text NOT NULL,
    reason text NOT NULL,
    source text NOT NULL,
    state reminder_state NOT NULL DEFAULT 'open',
    made_on date NOT NULL,
    ended_on date,
    ended_by text NOT NULL DEFAULT '',
    note text NOT NULL DEFAULT '',
    CONSTRAINT reminder_once UNIQUE (kind, subject, due_on),
    CONSTRAINT reminder_end CHECK ((state = 'open') = (ended_on IS NULL)),
    CONSTRAINT reminder_done_signed CHECK (state <> 'done' OR ended_by <> '')
);
CREATE INDEX reminder_open ON reminder (due_on) WHERE state = 'open';
