package main

import (
	"strings"
	"testing"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/due"
	"limbround/scheduler/jobs"
)

// A watch item that a record left fills in the branch; what was measured today
// beats what the record says.
func TestAdviceOnTheHandmadeTree(t *testing.T) {
	p := newHandmade(t, 2027, time.February, 2)
	p.ok("due")
	rec := scheduler.WorkRecord{
		ID: "0b6c7c4e-2d0b-4c62-9a53-7f0b8f2a9e11", By: "A. Leader", Start: p.clock, Finish: p.clock.Add(6 * time.Minute),
		Kinds: []scheduler.WorkKind{scheduler.Training}, Outcome: scheduler.OutcomeDone, LiveCrown: 10, Vigour: scheduler.VigourGood,
		Watch: []scheduler.WatchFinding{
			{What: "competing top", Height: 1700, Side: scheduler.SideRoad, Diameter: 56, StemDiameter: 70, IncludedBark: true, Reduced: true, Done: "reduced by half", Intent: scheduler.HoldTier},
			{What: "union", Height: 1700, Intent: scheduler.WatchOnly},
		},
	}
	var c jobs.CalendarResult
	p.json(&c, "calendar", "PL-001")
	rec.TreeID = c.Tree.ID
	p.record(rec)

	var got jobs.AdviseResult
	p.json(&got, "advise", "--tree", "PL-001", "--letter", "A", "--on", "2030-02-10")
	if got.Advice.Advice != due.HoldStem || !got.Today || got.CutNow <= 56 || got.Branch.Diameter != 56 || got.Ask != due.AskSupervisor {
		t.Errorf("%+v", got)
	}
	p.json(&got, "advise", "--tree", "PL-001", "--letter", "A", "--on", "2030-02-10", "--diameter", "58", "--stem", "90")
	if got.CutNow != 58 || got.RatioNow != 64 {
		t.Errorf("measured today: %+v", got)
	}
	if text := p.ok("advise", "--tree", "PL-001", "--letter", "A", "--sign", "crack_at_union"); !strings.HasPrefix(text, "STOP, do not cut") || !strings.Contains(text, "qualified person at the tree decides") {
		t.Errorf("%s", text)
	}
	if code, _, errOut := p.run("advise", "--tree", "PL-001", "--letter", "B"); code != exitBadInput || !strings.Contains(errOut, "role") {
		t.Errorf("a union has no role: exit %d, %s", code, errOut)
	}
}
