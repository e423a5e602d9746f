package db

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	treeFactsSQL = `
UPDATE tree SET state = $2, stage = $3, vigour = $4, dbh_mm = $5, height_mm = $6, crown_spread_mm = $7, measured_on = $8,
    base_road_mm = $9, base_walk_mm = $10, base_on = $11, lowest_permanent_mm = $12, last_training = $13, last_rotation = $14,
    last_raise = $15, last_visit = $16, broken_on = $17, last_restored = $18, last_inspected = $19, last_watered = $20,
    last_sprouts = $21, dose_season = $22, dose_used_pct = $23, revision = revision + 1
WHERE id = $1`
	measureInsertSQL = `
INSERT INTO measurement (tree_id, on_date, dbh_mm, height_mm, base_road_mm, base_walk_mm, source, record_id)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`
	packetThereSQL = `SELECT count(*) FROM packet WHERE id = $1`
	crewThereSQL   = `SELECT count(*) FROM crew WHERE id = $1`
)

// recordWrite is one record on its way into the tables.
type recordWrite struct {
	tx       pgx.Tx
	in       *scheduler.RecordInput
	out      *scheduler.RecordOutcome
	by       scheduler.Stamp
	body     []byte
	revision int
}

func (w *recordWrite) all(ctx context.Context) (scheduler.RecordAnswer, error) {
	tree := w.in.Tree.ID
	answer := scheduler.RecordAnswer{RecordID: w.in.Record.ID, TreeID: tree, Closed: w.out.Closes}
	if answer.Closed == nil {
		answer.Closed = []int64{}
	}
	for _, step := range []func(context.Context) error{
		w.lockWork, w.record, w.facts, w.closeVisits, w.finishStops, w.openVisits, w.mergeVisits, w.deviations,
	} {
		if err := step(ctx); err != nil {
			return answer, err
		}
	}
	var err error
	if answer.Next, err = readVisits(ctx, w.tx, tree, false); err != nil {
		return answer, err
	}
	if answer.Watch, err = readWatch(ctx, w.tx, tree, false); err != nil {
		return answer, err
	}
	text, err := json.Marshal(answer)
	if err != nil {
		return answer, fmt.Errorf("encode answer: %w", err)
	}
	if _, err := w.tx.Exec(ctx, recordAnswerSQL, w.in.Record.ID, text); err != nil {
		return answer, failed("keep answer", err)
	}
	return answer, audit(ctx, w.tx, w.by, "recorded", "work_record", w.in.Record.ID,
		map[string]any{"tree": tree, "outcome": w.in.Record.Outcome, "closed": answer.Closed})
}

func (w *recordWrite) record(ctx context.Context) error {
	r := &w.in.Record
	for _, ref := range []struct {
		field, sql string
		id         int64
	}{{"packet_id", packetThereSQL, r.PacketID}, {"crew_id", crewThereSQL, r.CrewID}} {
		if ref.id == 0 {
			continue
		}
		var n int
		if err := w.tx.QueryRow(ctx, ref.sql, ref.id).Scan(&n); err != nil {
			return failed("look up "+ref.field, err)
		}
		if n == 0 {
			return unknownIn(ref.field, ref.id, "it names one that exists, or none")
		}
	}
	minutes := int(r.Finish.Sub(r.Start).Round(time.Minute).Minutes())
	_, err := w.tx.Exec(ctx, recordInsertSQL, r.ID, r.TreeID, orNull(r.VisitID), orNull(r.PacketID), orNull(r.CrewID), r.By,
		r.Start, r.Finish, w.in.On, r.Kinds, r.Outcome, string(r.CouldNot), r.LiveCrown, minutes, w.body, r.Source, w.by.Actor, w.by.At)
	return failed("keep record", err)
}

// facts stores the measurement, the watch items, the follow-ups and the tree's newest facts.
func (w *recordWrite) facts(ctx context.Context) error {
	r, t := &w.in.Record, &w.out.Tree
	if max(r.DBH, r.Height, r.BaseRoad, r.BaseWalk) > 0 {
		_, err := w.tx.Exec(ctx, measureInsertSQL, t.ID, w.in.On, r.DBH.OrNone(), r.Height.OrNone(), r.BaseRoad.OrNone(),
			r.BaseWalk.OrNone(), r.Source, r.ID)
		if err != nil {
			return failed("keep measurement", err)
		}
	}
	if err := writeWatch(ctx, w.tx, w.in.Tree.Watch, t.Watch); err != nil {
		return err
	}
	if err := writeFollowUps(ctx, w.tx, w.out.FollowUps); err != nil {
		return err
	}
	_, err := w.tx.Exec(ctx, treeFactsSQL, t.ID, t.State, t.Stage, t.Vigour, t.DBH, t.Height, t.Crown,
		t.MeasuredOn, t.BaseRoad, t.BaseWalk, t.BaseOn, t.Permanent, t.LastTraining, t.LastRotation,
		t.LastRaise, t.LastVisit, t.BrokenOn, t.LastRestored, t.LastInspected, t.LastWatered, t.LastSprouts, t.DoseSeason, t.DoseUsed)
	w.revision++
	return failed("write tree's facts", err)
}

func (w *recordWrite) closeVisits(ctx context.Context) error {
	if len(w.out.Closes) == 0 {
		return nil
	}
	_, err := w.tx.Exec(ctx, visitCloseSQL, w.out.Closes)
	return failed("complete visits", err)
}

// mergeVisits makes the tree's open visits what the rules want after the record.
func (w *recordWrite) mergeVisits(ctx context.Context) error {
	open, err := openVisits(ctx, w.tx, w.in.Tree.ID)
	if err != nil {
		return err
	}
	var buf []byte
	changes, _, err := scheduler.DiffVisits(open, w.out.Visits, &buf)
	if err != nil || len(changes) == 0 {
		return err
	}
	var pass int64
	if err := w.tx.QueryRow(ctx, stagePassSQL).Scan(&pass); err != nil {
		return failed("number record's pass", err)
	}
	rows := make([][]any, len(changes))
	for i := range changes {
		if rows[i], err = stageRow(pass, w.in.Tree.ID, w.revision, w.in.Today, &changes[i]); err != nil {
			return err
		}
	}
	if err := copyStage(ctx, w.tx, rows); err != nil {
		return err
	}
	_, err = mergeStage(ctx, w.tx, pass)
	return err
}
