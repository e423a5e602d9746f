package storetest

import (
	"slices"
	"strings"
	"testing"
	"time"

	"limbround/scheduler"
)

// A crabapple by a bus lane, planted seven years ago: two tops with included
// bark. It is found due, planned, packed and recorded; one stem is reduced and held, another
// branch is to be removed later; and the next visit carries both.
func storyOfAYoungTree(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	v := w.training("PL-1")
	if v.Window.Latest.IsZero() || len(v.Objectives) == 0 || len(v.Reasons) == 0 {
		t.Fatalf("a training visit without window, objectives or reasons: %+v", v)
	}
	w.now = time.Date(2027, time.February, 8, 15, 0, 0, 0, time.UTC) // a Monday in the open season of fire blight hosts
	w.due()
	v = w.training("PL-1")
	if v.State != scheduler.Due && v.State != scheduler.Overdue {
		t.Errorf("in the open season, three years after the last training visit: %s", v.State)
	}
	plan := w.plan(2027)
	w.must(w.AdoptPlan(ctx, plan.Plan, 1, w.stamp("manager")))
	in, err := w.PackInput(ctx, plan.Plan, w.day(0), scheduler.NewDate(2027, 12, 31), false)
	w.must(err)
	i := slices.IndexFunc(in.Items, func(it scheduler.PackItem) bool { return it.Visit.ID == v.ID })
	if i < 0 || in.Items[i].Week.IsZero() || in.Items[i].Site.StreetID == 0 {
		t.Fatalf("the plan gave the visit no week: %+v", plan)
	}
	w.now = in.Items[i].Week.Time().Add(15 * time.Hour)
	built := w.build(0, 5, false)
	p := w.packetWith(built.IDs, v.ID)
	p = w.move(p, scheduler.PacketIssued)

	v, err = w.Visit(ctx, v.ID)
	w.must(err)
	answer := w.send(w.recordOf(1, v, func(r *scheduler.WorkRecord) {
		r.PacketID, r.CrewID, r.LiveCrown, r.DBH, r.BaseRoad = p.ID, p.CrewID, 25, 110, 1700
		r.Watch = []scheduler.WatchFinding{
			{
				What: "competing leader", Height: 1500, Side: scheduler.SideRoad, Diameter: 56, StemDiameter: 70, IncludedBark: true,
				Done: "reduced by half", Reduced: true, Intent: scheduler.HoldTier,
			},
			{
				What: "branch pressing on the union", Height: 1700, Side: scheduler.SideWalk, Diameter: 32, StemDiameter: 70,
				Done: "reduced by half", Reduced: true, Intent: scheduler.RemoveLater,
			},
		}
	}))
	if len(answer.Closed) == 0 || answer.Closed[0] != v.ID || len(answer.Watch) != 2 || answer.Watch[0].Letter != "A" || answer.Watch[1].Letter != "B" {
		t.Fatalf("answer: %+v", answer)
	}
	next := w.training("PL-1")
	if next.ID == v.ID || next.Window.Due <= v.Window.Due || next.Window.Due < scheduler.NewDate(2027, 11, 1) {
		t.Fatalf("next training visit: %+v", next)
	}
	said := strings.Join(next.Objectives, "\n") + "\n" + strings.Join(next.Limits, "\n")
	for _, letter := range []string{"A", "B"} {
		if !strings.Contains(said, letter+" ") && !strings.Contains(said, letter+",") && !strings.Contains(said, letter+":") {
			t.Errorf("the next visit does not speak of %s:\n%s", letter, said)
		}
	}
	for n := range p.Stops {
		if id := p.Stops[n].VisitID; id != 0 && id != v.ID {
			if now, err := w.Packet(ctx, p.ID); err != nil || now.State != scheduler.PacketStarted {
				t.Errorf("with stops to go the packet is %s, %v", now.State, err)
			}
			other, err := w.Visit(ctx, id)
			w.must(err)
			w.send(w.recordOf(10+n, other, func(r *scheduler.WorkRecord) { r.PacketID, r.CrewID = p.ID, p.CrewID }))
		}
	}
	if p, err = w.Packet(ctx, p.ID); err != nil || p.State != scheduler.PacketCompleted {
		t.Errorf("after the last stop the packet is %s, %v", p.State, err)
	}
	w.days(1)
	if got := w.due(); got.Written.Withdrawn != 0 {
		t.Errorf("the night after: %+v", got.Written)
	}
	if after := w.training("PL-1"); after.ID != next.ID || after.Window != next.Window {
		t.Errorf("the night changed the next visit: %+v", after)
	}
}

// training returns the tree's open visit that holds training.
func (w *town) training(ref string) scheduler.Visit {
	w.t.Helper()
	open := w.open(ref)
	for _, v := range open {
		if slices.Contains(v.Kinds, scheduler.Training) {
			return v
		}
	}
	w.t.Fatalf("tree %s has no open training visit: %+v", ref, open)
	return scheduler.Visit{}
}
