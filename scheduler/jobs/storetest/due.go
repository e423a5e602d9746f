package storetest

import (
	"testing"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

func duePassIsIdempotent(t *testing.T, w *town) {
	first := w.due()
	if first.Trees != 6 || first.Written.New != first.Visits || first.Visits < 6 || first.Written.Changed+first.Written.Withdrawn != 0 {
		t.Fatalf("first pass: %+v", first.DueStats)
	}
	if first.ByState[scheduler.NotOurs] != 1 || first.ByState[scheduler.NotAssessed] != 1 || first.ByKind[scheduler.Removal] != 1 {
		t.Errorf("a private tree, one without a record and a dead one: %+v %+v", first.ByState, first.ByKind)
	}
	before := w.lead("PL-1")
	second := w.due()
	if got := second.Written; got != (scheduler.DueWritten{Unchanged: first.Visits}) {
		t.Errorf("second pass wrote %+v", got)
	}
	if after := w.lead("PL-1"); after.Revision != before.Revision || after.ID != before.ID {
		t.Errorf("an unchanged visit was written: revision %d to %d", before.Revision, after.Revision)
	}
	if second.Visits != first.Visits || second.Due != first.Due || second.Overdue != first.Overdue {
		t.Errorf("the counts changed: %+v, %+v", first.DueStats, second.DueStats)
	}
}

func duePassExplains(t *testing.T, w *town) {
	r := w.due("PL-1", "PL-2")
	if r.Trees != 2 || len(r.Explains) != 2 {
		t.Fatalf("%d trees, %d explained", r.Trees, len(r.Explains))
	}
	for _, e := range r.Explains {
		for _, v := range e.Visits {
			if len(v.Reasons) == 0 || v.Reasons[0].Text == "" || v.Reasons[0].Source == "" || v.Season == "" {
				t.Errorf("tree %s, %s: no reason or season: %+v", e.Ref, v.Kind, v)
			}
		}
	}
	_, err := jobs.Due{Store: w, Now: w.clock}.Run(t.Context(), jobs.DueRequest{Trees: []string{"nobody"}, Actor: "night"})
	w.wants(scheduler.NotFound, err)
}

// A visit that the rules no longer want goes, unless people are about to make it.
func duePassWithdraws(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	packed, loose := w.lead("PL-2"), w.lead("PL-3")
	w.pack("l1", 4, packed.ID)
	none := func(*scheduler.DueInput) []scheduler.Visit { return nil }
	stats, err := w.DuePass(ctx, w.today(), scheduler.DueScope{Trees: []int64{packed.TreeID, loose.TreeID}}, none, 0, w.stamp("night"), nil)
	w.must(err)
	if stats.Written.Withdrawn < 1 {
		t.Errorf("wrote %+v", stats.Written)
	}
	for id, want := range map[int64]scheduler.Progress{packed.ID: scheduler.Open, loose.ID: scheduler.Withdrawn} {
		v, err := w.Visit(ctx, id)
		w.must(err)
		if v.Progress != want {
			t.Errorf("visit %d is %s, want %s", id, v.Progress, want)
		}
	}
	if got := w.due(); got.Written.New < 1 {
		t.Errorf("the rules' own pass brings it back: %+v", got.Written)
	}
}

// A job of an earlier night that is tried again late leaves the newer visits
// alone; a look at a day to come does not stop the nights before it.
func duePassNeverGoesBack(t *testing.T, w *town) {
	ctx := t.Context()
	pass := func(asOf scheduler.Date, trees ...string) error {
		_, err := jobs.Due{Store: w, Now: w.clock}.Run(ctx, jobs.DueRequest{AsOf: asOf, Trees: trees, Actor: "night"})
		return err
	}
	w.must(pass(w.today() - 2))
	w.must(pass(w.today()))
	before := w.lead("PL-2")
	none := func(*scheduler.DueInput) []scheduler.Visit { return nil }
	_, err := w.DuePass(ctx, w.today()-1, scheduler.DueScope{}, none, 0, w.stamp("night"), nil)
	w.wants(scheduler.Stale, err)
	w.wants(scheduler.Stale, pass(w.today()-1, "PL-2"))
	if after := w.lead("PL-2"); after.ID != before.ID || after.Revision != before.Revision {
		t.Errorf("the older pass wrote visit %d revision %d, was %d revision %d", after.ID, after.Revision, before.ID, before.Revision)
	}
	w.must(pass(w.today()+400, "PL-2")) // single trees set no mark
	w.must(pass(w.today() + 300))
	w.must(pass(w.today()))
	w.days(1)
	w.must(pass(w.today()))
	w.wants(scheduler.Stale, pass(w.today()-1))
	if table, err := (jobs.Overdue{Store: w}).Run(ctx, 0); err != nil || table.AsOf != w.today() {
		t.Errorf("the table is of %s, %v", table.AsOf, err)
	}
}

// The rows of the table sum to the city, trees outside every district included.
func overdueAddsUp(t *testing.T, w *town) {
	_, err := jobs.Overdue{Store: w}.Run(t.Context(), 0)
	w.wants(scheduler.Clash, err)
	pass := w.due()
	table, err := jobs.Overdue{Store: w}.Run(t.Context(), 0)
	w.must(err)
	if table.AsOf != w.today() || table.Total.Trees != 6 || len(table.Rows) != 3 {
		t.Fatalf("%+v", table)
	}
	sum := 0
	for state, n := range table.Total.Visits {
		sum += n
		if n != pass.ByState[state] {
			t.Errorf("%s: table %d, pass %d", state, n, pass.ByState[state])
		}
	}
	if sum != pass.Visits {
		t.Errorf("table holds %d visits, the city %d", sum, pass.Visits)
	}
	late := 0
	for _, n := range table.Total.ByKind {
		late += n
	}
	if late != pass.Overdue {
		t.Errorf("overdue by kind %d, pass %d", late, pass.Overdue)
	}
}
