package db_test

import (
	"testing"

	"limbround/db/dbtest"
	"limbround/scheduler"
)

// reminders runs the reminders of a day as the program does.
func reminders(w *town, day scheduler.Date) scheduler.RemindStats {
	w.t.Helper()
	rules := (&scheduler.Policy{}).RemindRules()
	got, err := w.Remind(w.t.Context(), day, day.AddMonths(-13), day, func(f *scheduler.ReminderFacts) []scheduler.Reminder {
		return scheduler.Remind(f, &rules, day)
	}, clerk)
	if err != nil {
		w.t.Fatal(err)
	}
	return got
}

func TestRemindersFollowTheirFacts(t *testing.T) {
	w := newTown(t)
	w.loadAll(w.larkin())
	// The warranty of T00 ends on 20 May 2026, 45 days after 5 April; the chipper of c1 on 30 June.
	w.exec(`UPDATE tree SET planted = '2025-05-20', planted_precision = 'day', last_inspected = NULL, last_training = NULL, last_rotation = NULL WHERE ref IN ('T00', 'T01')`)
	w.exec(`UPDATE site SET owner = 'private' WHERE id = (SELECT site_id FROM tree WHERE ref = 'T01')`)
	day := scheduler.NewDate(2026, 4, 5)
	steps := []struct {
		what string
		do   string
		day  scheduler.Date
		want scheduler.RemindStats
	}{
		{"before any", ``, day - 1, scheduler.RemindStats{}},
		{"the warranty's day", ``, day, scheduler.RemindStats{New: 1, Open: 1}},
		{"the same day again", ``, day, scheduler.RemindStats{Open: 1}},
		{"the next day", ``, day + 1, scheduler.RemindStats{Open: 1}},
		{"a visit is recorded", `UPDATE tree SET last_inspected = '2026-04-06' WHERE ref = 'T00'`, day + 2, scheduler.RemindStats{Withdrawn: 1}},
		{"the record is taken back", `UPDATE tree SET last_inspected = NULL WHERE ref = 'T00'`, day + 3, scheduler.RemindStats{Changed: 1, Open: 1}},
		{"the address is mended", `UPDATE site SET address = '1 Weir Street' WHERE id = (SELECT site_id FROM tree WHERE ref = 'T00')`, day + 3, scheduler.RemindStats{Changed: 1, Open: 1}},
		{"the warranty is over, a test is near", ``, scheduler.NewDate(2026, 6, 1), scheduler.RemindStats{New: 1, Withdrawn: 1, Open: 1}},
		{"the test is nearer", ``, scheduler.NewDate(2026, 6, 16), scheduler.RemindStats{New: 1, Withdrawn: 1, Open: 1}},
		{"the test is renewed", `UPDATE crew SET tickets = '[]' WHERE ref = 'c1'`, scheduler.NewDate(2026, 6, 17), scheduler.RemindStats{Withdrawn: 1}},
	}
	for _, s := range steps {
		if s.do != "" {
			w.exec(s.do)
		}
		before := dbtest.Query(t, w.URL(), `SELECT count(*)::text FROM audit`)[0]
		if got := reminders(w, s.day); got != s.want {
			t.Errorf("%s: %+v, want %+v", s.what, got, s.want)
		}
		wrote := dbtest.Query(t, w.URL(), `SELECT count(*)::text FROM audit`)[0] != before
		if changes := s.want.New+s.want.Changed+s.want.Withdrawn > 0; wrote != changes {
			t.Errorf("%s: audit written %v", s.what, wrote)
		}
	}
	list, matched, err := w.ReminderList(t.Context(), scheduler.ReminderWithdrawn, 0, 2)
	if err != nil || matched != 3 || len(list) != 2 || list[0].Subject != "tree T00" || list[0].DueOn != day {
		t.Errorf("withdrawn: %d of %d %+v, %v", len(list), matched, list, err)
	}
}

func TestAReminderIsDoneOnce(t *testing.T) {
	w := newTown(t)
	w.loadAll(w.larkin())
	day := scheduler.NewDate(2026, 6, 20) // the chipper's test of c1 ends on 30 June
	if got := reminders(w, day); got.Open != 1 {
		t.Fatalf("%+v", got)
	}
	list, _, err := w.ReminderList(t.Context(), scheduler.ReminderOpen, 0, 10)
	if err != nil || len(list) != 1 {
		t.Fatalf("%+v, %v", list, err)
	}
	id := list[0].ID
	for range 2 {
		r, err := w.ReminderDone(t.Context(), id, day, "booked for Monday", clerk)
		if err != nil || r.State != scheduler.ReminderDone || r.EndedBy != clerk.Actor || r.EndedOn != day || r.Note != "booked for Monday" {
			t.Errorf("%+v, %v", r, err)
		}
	}
	if n := count(t, w.DB, `SELECT count(*) FROM audit WHERE verb = 'done' AND noun = 'reminder'`); n != 1 {
		t.Errorf("%d lines of audit", n)
	}
	if got := reminders(w, day+1); got != (scheduler.RemindStats{}) {
		t.Errorf("the day after: %+v", got)
	}
	if got := reminders(w, scheduler.NewDate(2026, 6, 30)); got != (scheduler.RemindStats{New: 1, Open: 1}) {
		t.Errorf("its last day is another reminder: %+v", got)
	}
	w.exec(`UPDATE crew SET tickets = '[]'`)
	reminders(w, scheduler.NewDate(2026, 7, 1))
	gone, _, err := w.ReminderList(t.Context(), scheduler.ReminderWithdrawn, 0, 10)
	if err != nil || len(gone) != 1 {
		t.Fatalf("withdrawn: %+v, %v", gone, err)
	}
	_, err = w.ReminderDone(t.Context(), gone[0].ID, day, "", clerk)
	wantKind(t, err, scheduler.Clash)
	_, err = w.ReminderDone(t.Context(), 4711, day, "", clerk)
	wantKind(t, err, scheduler.NotFound)
}
