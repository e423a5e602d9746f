package storetest

import (
	"testing"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

func (w *town) plan(year int) jobs.PlanResult {
	w.t.Helper()
	r, err := jobs.Plan{Store: w, Now: w.clock}.Run(w.t.Context(), jobs.PlanRequest{Year: year, Actor: "manager"})
	w.must(err)
	return r
}

// Every visit that is due by the end of the year has a week or a reason.
func planLosesNothing(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	items, err := w.PlanInput(ctx, 2027)
	w.must(err)
	r := w.plan(2027)
	if r.Planned+r.Carried != len(items) || r.Planned == 0 || r.Version != 1 {
		t.Fatalf("%d visits, result %+v", len(items), r)
	}
	p, err := w.Plan(ctx, r.Plan)
	w.must(err)
	lines := map[int64]scheduler.PlanLine{}
	for _, l := range p.Lines {
		lines[l.VisitID] = l
	}
	for _, it := range items {
		l, ok := lines[it.Visit.ID]
		if !ok || l.Week.IsZero() == (l.Carried == "") {
			t.Errorf("visit %d: line %+v", it.Visit.ID, l)
		}
	}
	if again := w.plan(2027); again.Version != 2 {
		t.Errorf("a second plan of the year is version %d", again.Version)
	}
}

func planIsAdoptedOnce(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	_, err := w.PlanInForce(ctx, 2027)
	w.wants(scheduler.NotFound, err)
	first, second := w.plan(2027), w.plan(2027)
	w.wants(scheduler.NotFound, w.AdoptPlan(ctx, 999, 1, w.stamp("manager")))
	w.wants(scheduler.Stale, w.AdoptPlan(ctx, first.Plan, 9, w.stamp("manager")))
	w.must(w.AdoptPlan(ctx, first.Plan, 1, w.stamp("manager")))
	w.wants(scheduler.Stale, w.AdoptPlan(ctx, first.Plan, 1, w.stamp("manager")))
	w.wants(scheduler.Clash, w.AdoptPlan(ctx, first.Plan, 2, w.stamp("manager")))
	if p, err := w.PlanInForce(ctx, 2027); err != nil || p.ID != first.Plan || p.AdoptedBy != "manager" || p.Adopted != w.today() {
		t.Errorf("in force: %+v, %v", p, err)
	}
	w.must(w.AdoptPlan(ctx, second.Plan, 1, w.stamp("manager")))
	old, err := w.Plan(ctx, first.Plan)
	w.must(err)
	if old.State != scheduler.PlanSuperseded {
		t.Errorf("the older plan is %s", old.State)
	}
}
