package main

import (
	"testing"
	"time"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// A draft that comes late takes the rest of the week, and a second one leaves
// what the dispatcher has.
func TestALateWeekDraftTakesTheRestOfTheWeek(t *testing.T) {
	p := newHandmade(t, 2027, time.February, 3) // a Wednesday
	p.ok("due")
	d, err := db.Open(t.Context(), db.Config{URL: p.url, MaxConns: 4})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	monday, wednesday := scheduler.NewDate(2027, time.February, 1), scheduler.NewDate(2027, time.February, 3)
	p.ok("year", "plan", "--year", "2027")
	draft := func() jobs.WeekDraftResult {
		t.Helper()
		res, err := jobs.WeekDraft{Store: d, Now: p.now}.Run(t.Context(), jobs.WeekDraftRequest{Monday: monday, Actor: "schedule"})
		if err != nil || res.Skipped != "" || res.From != wednesday || res.PackResult == nil {
			t.Fatalf("%+v, %v", res, err)
		}
		return res
	}
	first := draft()
	if first.Packets == 0 {
		t.Error("no packet was drafted")
	}
	p.none("packets of days that are over", `SELECT day::text FROM packet WHERE day < '2027-02-03' OR day > '2027-02-05'`)
	before := p.dump("audit")
	if again := draft(); again.Packets != 0 {
		t.Errorf("a second draft made %d packets more", again.Packets)
	}
	sameRows(t, "a second draft", before, p.dump("audit"))
}
