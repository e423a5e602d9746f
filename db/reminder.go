package db

import (
	"context"
	"strconv"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	remindLockSQL    = `SELECT pg_advisory_xact_lock(7201964311)`
	warrantyTreesSQL = `
SELECT t.ref, s.address, t.planted, t.planted_precision, t.state = 'dead',
       greatest(t.last_inspected, t.last_training, t.last_rotation)
FROM tree t JOIN site s ON s.id = t.site_id
WHERE t.planted BETWEEN $1 AND $2 AND t.state IN ('alive', 'dead') AND s.owner IN ('city', 'shared') ORDER BY t.id`
	liveSignsSQL = `
SELECT g.id, st.name, f.side::text, p.id, c.name, p.day, g.posted_at IS NOT NULL, g.valid_from, g.valid_to
FROM parking_sign g
JOIN stop x ON x.id = g.stop_id AND x.live
JOIN packet p ON p.id = x.packet_id
JOIN crew c ON c.id = p.crew_id
JOIN block_face f ON f.id = g.face_id
JOIN street st ON st.id = f.street_id
ORDER BY g.id`
	remindAddSQL = `
INSERT INTO reminder AS r (kind, subject, due_on, last_day, text, reason, source, made_on)
SELECT w.kind::reminder_kind, w.subject, w.due_on, w.last_day, w.text, w.reason, w.source, $8
FROM unnest($1::text[], $2::text[], $3::date[], $4::date[], $5::text[], $6::text[], $7::text[])
    w (kind, subject, due_on, last_day, text, reason, source)
ON CONFLICT (kind, subject, due_on) DO UPDATE SET
    last_day = excluded.last_day, text = excluded.text, reason = excluded.reason, source = excluded.source,
    state = 'open', ended_on = NULL
WHERE r.state = 'withdrawn' OR (r.state = 'open' AND
    (r.last_day, r.text, r.reason, r.source) IS DISTINCT FROM (excluded.last_day, excluded.text, excluded.reason, excluded.source))
RETURNING r.xmax = 0`
	remindWithdrawSQL = `
UPDATE reminder r SET state = 'withdrawn', ended_on = $4
WHERE r.state = 'open' AND NOT EXISTS (
    SELECT FROM unnest($1::text[], $2::text[], $3::date[]) w (kind, subject, due_on)
    WHERE w.kind = r.kind::text AND w.subject = r.subject AND w.due_on = r.due_on)`
	remindOpenSQL = `SELECT count(*) FROM reminder WHERE state = 'open'`
)

// Remind derives the reminders anew from the facts, in one transaction: those
// that decide answers and are not there are made, those whose cause is gone are
// withdrawn, and one that somebody has done stays done. Trees planted from the first day to the
// second are read. decide must be pure. Running it again writes nothing.
func (d *DB) Remind(ctx context.Context, day, from, to scheduler.Date,
	decide func(*scheduler.ReminderFacts) []scheduler.Reminder, by scheduler.Stamp,
) (scheduler.RemindStats, error) {
	var out scheduler.RemindStats
	err := d.tx(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, remindLockSQL); err != nil {
			return failed("wait for other reminders", err)
		}
		facts, err := reminderFacts(ctx, tx, from, to)
		if err != nil {
			return err
		}
		if out, err = writeReminders(ctx, tx, day, decide(&facts)); err != nil {
			return failed("write reminders", err)
		}
		if out.New+out.Changed+out.Withdrawn == 0 {
			return nil
		}
		return audit(ctx, tx, by, "derive", "reminder", day.String(), out)
	})
	return out, err
}

func reminderFacts(ctx context.Context, tx pgx.Tx, from, to scheduler.Date) (f scheduler.ReminderFacts, err error) {
	if f.Trees, err = collect[scheduler.WarrantyTree](ctx, tx, warrantyTreesSQL, from, to); err != nil {
		return f, failed("read trees under warranty", err)
	}
	if f.Signs, err = collect[scheduler.ParkingSign](ctx, tx, liveSignsSQL); err != nil {
		return f, failed("read parking signs", err)
	}
	f.Crews, err = readCrews(ctx, tx)
	return f, err
}

func writeReminders(ctx context.Context, tx pgx.Tx, day scheduler.Date, want []scheduler.Reminder) (out scheduler.RemindStats, err error) {
	var kind, subject, text, reason, source []string
	var due, last []scheduler.Date
	for i := range want {
		r := &want[i]
		kind, subject, due, last = append(kind, string(r.Kind)), append(subject, r.Subject), append(due, r.DueOn), append(last, r.LastDay)
		text, reason, source = append(text, r.Text), append(reason, r.Reason), append(source, r.Source)
	}
	tag, err := tx.Exec(ctx, remindWithdrawSQL, kind, subject, due, day)
	if err != nil {
		return out, err
	}
	out.Withdrawn = int(tag.RowsAffected())
	rows, err := tx.Query(ctx, remindAddSQL, kind, subject, due, last, text, reason, source, day)
	if err != nil {
		return out, err
	}
	var made bool
	if _, err = pgx.ForEachRow(rows, []any{&made}, func() error {
		if made {
			out.New++
		} else {
			out.Changed++
		}
		return nil
	}); err != nil {
		return out, err
	}
	return out, tx.QueryRow(ctx, remindOpenSQL).Scan(&out.Open)
}

const (
	reminderColumns = `
id, kind::text, subject, due_on, last_day, text, reason, source, state::text, made_on, ended_on, ended_by, note FROM reminder`
	reminderListSQL = `
SELECT ` + reminderColumns + ` WHERE ($1::text = '' OR state::text = $1) AND id > $2 ORDER BY id LIMIT $3`
	reminderCountSQL = `SELECT count(*) FROM reminder WHERE $1::text = '' OR state::text = $1`
	reminderLockSQL  = `SELECT ` + reminderColumns + ` WHERE id = $1 FOR UPDATE`
	reminderDoneSQL  = `UPDATE reminder SET state = 'done', ended_on = $2, ended_by = $3, note = $4 WHERE id = $1`
)

// ReminderList lists at most limit reminders of a state, any when it is empty,
// with ids above after, and answers how many there are.
func (d *DB) ReminderList(ctx context.Context, state scheduler.ReminderState, after int64, limit int) (list []scheduler.Reminder, matched int, err error) {
	if err := d.pool.QueryRow(ctx, reminderCountSQL, string(state)).Scan(&matched); err != nil {
		return nil, 0, failed("count reminders", err)
	}
	rows, err := d.pool.Query(ctx, reminderListSQL, string(state), after, limit)
	if err != nil {
		return nil, 0, failed("list reminders", err)
	}
	list, err = pgx.CollectRows(rows, pgx.RowToStructByPos[scheduler.Reminder])
	return list, matched, failed("list reminders", err)
}

// ReminderDone marks a reminder as seen to, on a day. Done twice is done; one whose cause
// is gone is a Clash.
func (d *DB) ReminderDone(ctx context.Context, id int64, on scheduler.Date, note string, by scheduler.Stamp) (scheduler.Reminder, error) {
	var r scheduler.Reminder
	err := d.tx(ctx, func(tx pgx.Tx) error {
		rows, err := collect[scheduler.Reminder](ctx, tx, reminderLockSQL, id)
		if err != nil {
			return failed("read reminder", err)
		}
		if len(rows) == 0 {
			return scheduler.Errorf(scheduler.NotFound, "there is no reminder %d", id)
		}
		r = rows[0]
		switch r.State {
		case scheduler.ReminderDone:
			return nil
		case scheduler.ReminderWithdrawn:
			return scheduler.Errorf(scheduler.Clash, "reminder %d was withdrawn on %s: its cause is gone", id, r.EndedOn)
		}
		if _, err := tx.Exec(ctx, reminderDoneSQL, id, on, by.Actor, note); err != nil {
			return failed("end reminder", err)
		}
		r.State, r.EndedOn, r.EndedBy, r.Note = scheduler.ReminderDone, on, by.Actor, note
		return audit(ctx, tx, by, "done", "reminder", strconv.FormatInt(id, 10), map[string]any{"subject": r.Subject, "note": note})
	})
	return r, err
}
