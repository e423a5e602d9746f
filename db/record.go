package db

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	recordKeySQL = `
INSERT INTO record_key (id, digest, received_at) VALUES ($1, $2, $3) ON CONFLICT (id) DO NOTHING`
	recordKnownSQL = `
SELECT k.digest, r.answer FROM record_key k LEFT JOIN work_record r ON r.id = k.id WHERE k.id = $1`
	recordInsertSQL = `
INSERT INTO work_record (id, tree_id, visit_id, packet_id, crew_id, by_whom, started_at, finished_at, done_on, kinds, outcome,
    could_not, live_crown_pct, minutes, body, source, actor, received_at)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, nullif($12, '')::could_not, $13, $14, $15, $16, $17, $18)`
	recordAnswerSQL = `UPDATE work_record SET answer = $2 WHERE id = $1`
	// Beside the lock: a record's statements look up a few rows by key, and
	// planning each anew takes longer than running it.
	treeLockSQL = `
SELECT t.revision FROM tree t, set_config('plan_cache_mode', 'force_generic_plan', true) WHERE t.id = $1 FOR NO KEY UPDATE OF t`
	cityZoneSQL = `SELECT time_zone FROM city`
)

// Record takes one work record in one transaction: the record, what it
// measured, the watch items, the tree's newest facts, the visits it completes and those that
// follow, the stop in its packet, a hazard with its visit. decide is pure and sees the
// tree as it is with its row locked. The record's id makes it idempotent: sent again with the
// same content it gets the same answer and writes nothing; with other content it
// is a Clash. An unknown tree, visit, packet or crew is Invalid.
func (d *DB) Record(ctx context.Context, rec scheduler.WorkRecord,
	decide func(scheduler.RecordInput) (scheduler.RecordOutcome, error), by scheduler.Stamp,
) (scheduler.RecordAnswer, error) {
	rec.Start, rec.Finish = rec.Start.UTC(), rec.Finish.UTC()
	if rec.Source == "" {
		rec.Source = "field"
	}
	body, err := json.Marshal(rec)
	if err != nil {
		return scheduler.RecordAnswer{}, fmt.Errorf("encode record: %w", err)
	}
	digest := sha256.Sum256(body)
	var answer scheduler.RecordAnswer
	err = d.tx(ctx, func(tx pgx.Tx) error {
		answer = scheduler.RecordAnswer{}
		tag, err := tx.Exec(ctx, recordKeySQL, rec.ID, digest[:], by.At)
		if err != nil {
			return failed("keep record's id", err)
		}
		if tag.RowsAffected() == 0 {
			answer, err = knownRecord(ctx, tx, rec.ID, digest[:])
			return err
		}
		in, revision, err := d.recordInput(ctx, tx, rec, by.At)
		if err != nil {
			return err
		}
		out, err := decide(in)
		if err != nil {
			return err
		}
		w := recordWrite{tx: tx, in: &in, out: &out, by: by, body: body, revision: revision}
		answer, err = w.all(ctx)
		return err
	})
	return answer, err
}

// knownRecord answers for a record that was received before.
func knownRecord(ctx context.Context, tx pgx.Tx, id string, digest []byte) (scheduler.RecordAnswer, error) {
	var answer scheduler.RecordAnswer
	var before, text []byte
	if err := tx.QueryRow(ctx, recordKnownSQL, id).Scan(&before, &text); err != nil {
		return answer, failed("read record", err)
	}
	if !bytes.Equal(before, digest) {
		e := scheduler.Errorf(scheduler.Clash, "record %s: it was received before with other content", id)
		e.Hint = "a correction is a new record with an id of its own"
		return answer, e
	}
	if text != nil {
		if err := json.Unmarshal(text, &answer); err != nil {
			return answer, fmt.Errorf("decode answer of record %s: %w", id, err)
		}
	}
	answer.RecordID, answer.Replayed = id, true
	return answer, nil
}

// recordInput locks the tree and reads what the decision needs. It answers the
// tree's edit counter too.
func (d *DB) recordInput(ctx context.Context, tx pgx.Tx, rec scheduler.WorkRecord, at time.Time) (in scheduler.RecordInput, revision int, err error) {
	in.Record = rec
	if err := tx.QueryRow(ctx, treeLockSQL, rec.TreeID).Scan(&revision); err != nil {
		if isNoRows(err) {
			return in, 0, unknownIn("tree_id", rec.TreeID, "a record is about a tree of the inventory")
		}
		return in, 0, failed("lock tree", err)
	}
	zone, err := cityZone(ctx, tx)
	if err != nil {
		return in, 0, err
	}
	in.On, in.Today = scheduler.DateOf(rec.Finish.In(zone)), scheduler.DateOf(at.In(zone))
	ts, _, err := readTree(ctx, tx, treeByIDSQL, rec.TreeID, true)
	if err != nil {
		return in, 0, err
	}
	in.Tree, in.Site = ts.Tree, ts.Site
	sp, err := d.readSpecies(tx.QueryRow(ctx, oneSpeciesSQL, ts.Tree.Species))
	switch {
	case err == nil:
		in.Species = &sp
	case !isNoRows(err):
		return in, 0, failed("read species "+ts.Tree.Species, err)
	}
	if in.Base, in.Past, err = readPast(ctx, tx, &ts.Tree); err != nil {
		return in, 0, err
	}
	if in.Open, err = readVisits(ctx, tx, rec.TreeID, false); err != nil {
		return in, 0, err
	}
	if in.Crew, err = crewOf(ctx, tx, rec.CrewID); err != nil {
		return in, 0, err
	}
	if rec.VisitID != 0 {
		if in.Planned, err = readVisit(ctx, tx, rec.VisitID); err != nil {
			return in, 0, err
		}
		if in.Planned == nil || in.Planned.TreeID != rec.TreeID {
			return in, 0, unknownIn("visit_id", rec.VisitID, "a record names a visit of its tree, or none")
		}
	}
	return in, revision, nil
}

func cityZone(ctx context.Context, q querier) (*time.Location, error) {
	var name string
	if err := q.QueryRow(ctx, cityZoneSQL).Scan(&name); err != nil {
		return nil, failed("read city's time zone", err)
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, fmt.Errorf("load the city's time zone: %w", err)
	}
	return zone, nil
}

func unknownIn(field string, id int64, rule string) error {
	e := scheduler.Errorf(scheduler.Invalid, "%s %d: there is none; %s", field, id, rule)
	e.Fields = []scheduler.Fault{{Field: field, Value: fmt.Sprint(id), Rule: rule}}
	return e
}
