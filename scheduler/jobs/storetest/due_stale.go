package storetest

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// renew makes the pass that looks only at what has changed since today's last one.
func (w *town) renew() jobs.DueResult {
	w.t.Helper()
	r, err := jobs.Due{Store: w, Now: w.clock}.Run(w.t.Context(), jobs.DueRequest{Actor: "clerk"})
	w.must(err)
	return r
}

// adopt makes a version of the policy in force: its text with words replaced.
func (w *town) adopt(replace ...string) {
	w.t.Helper()
	p, source := w.changed(replace...)
	if _, err := w.AddPolicy(w.t.Context(), source, p, w.stamp("manager")); err != nil {
		w.t.Fatal(err)
	}
}

// changed is the first policy with words replaced.
func (w *town) changed(replace ...string) (scheduler.Policy, []byte) {
	w.t.Helper()
	text, err := scheduler.Preset("lower-midwest")
	w.must(err)
	source := []byte(strings.NewReplacer(replace...).Replace(string(text)))
	p, err := scheduler.ParsePolicy(source)
	w.must(err)
	return p, source
}

// After the first pass of a day only what a change touches is looked at, and a
// full pass afterwards finds nothing that was missed.
func dueLooksAtWhatChanged(t *testing.T, w *town) {
	const lane = `bus_lane: {legal: 14 ft, act_at: 14.5 ft, clear_to: 16 ft, source: "14 ft: Colorado Springs CO; margins common practice"}
      truck_lane: {legal: 14 ft, act_at: 14.5 ft, clear_to: 16 ft, source: "14 ft: Colorado Springs CO; margins common practice"}
    - class: collector`
	if r := w.renew(); r.Looked != 6 {
		t.Fatalf("the first pass of all looked at %d trees", r.Looked)
	}
	for _, c := range []struct {
		name   string
		change func()
		looked int // at most; 0 is none
		writes bool
	}{
		{"nothing", func() {}, 0, false},
		{"a work record", func() { w.send(w.recordOf(1, w.lead("PL-2"), nil)) }, 1, false},
		{"a late measurement", func() {
			v := w.lead("PL-3")
			w.send(w.recordOf(2, v, func(r *scheduler.WorkRecord) {
				r.Outcome, r.CouldNot, r.LiveCrown, r.DBH = scheduler.OutcomeNotDone, scheduler.NestFound, 0, 75
			}))
		}, 1, false},
		{"a street with buses", func() {
			w.load("streets", row{shape: line(0, 100, 200, 100), f: street("b1", "Weir Street", "arterial", "none", true)})
		}, 2, true},
		{"a moved street", func() {
			w.load("streets", row{shape: line(0, 96, 200, 96), f: street("b1", "Weir Street", "arterial", "none", true)})
		}, 2, true},
		{"a measured tree", func() {
			w.load("trees", tree("PL-4", "TICO", 300, 106, f{"dbh_mm": geo.Length(520), "height_mm": geo.Length(14_500), "measured_on": w.today()}))
		}, 1, true},
		{"a tree that changed hands", func() { w.load("trees", tree("PL-5", "GLTR", 320, 106, f{"owner": "city", "dbh_mm": geo.Length(300)})) }, 1, true},
		{"a new tree", func() { w.load("trees", tree("PL-7", "ACRU", 380, 106, f{"dbh_mm": geo.Length(90)})) }, 1, true},
		{"greater height over arterials", func() {
			w.adopt(lane, strings.Replace(lane, "14.5 ft, clear_to: 16 ft", "15 ft, clear_to: 16.5 ft", 1))
		}, 3, true},
		{"that policy under another name", func() {
			w.adopt(lane, strings.Replace(lane, "14.5 ft, clear_to: 16 ft", "15 ft, clear_to: 16.5 ft", 1), `adopted_by: ""`, "adopted_by: council")
		}, 0, false},
		{"longer work", func() { w.adopt("spread_pct: 25", "spread_pct: 40") }, 7, true},
	} {
		c.change()
		r := w.renew()
		wrote := r.Written.New + r.Written.Changed + r.Written.Withdrawn
		if r.Looked > c.looked || (c.looked == 0) != (r.Looked == 0) {
			t.Errorf("%s: looked at %d of %d trees, want at most %d", c.name, r.Looked, r.Trees, c.looked)
		}
		if (wrote > 0) != c.writes {
			t.Errorf("%s: wrote %+v", c.name, r.Written)
		}
		if full := w.due(); full.Looked != full.Trees || full.Written != (scheduler.DueWritten{Unchanged: full.Visits}) {
			t.Errorf("%s: a full pass afterwards wrote %+v of %d visits", c.name, full.Written, full.Visits)
		}
	}
	w.days(1)
	if r := w.renew(); r.Looked != 7 {
		t.Errorf("on another day the pass looked at %d trees", r.Looked)
	}
}

// A visit that people were about to make is kept though the rules want it no
// longer; when its packet is recalled, the next look withdraws it.
func dueFollowsPackets(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	v := w.lead("PL-6") // a dead tree: removal
	p := w.pack("l1", 4, v.ID)
	w.load("trees", tree("PL-6", "FRPE", 340, 106, f{"state": "removed", "measured_on": w.today()}))
	state := func() scheduler.Progress {
		t.Helper()
		now, err := w.Visit(ctx, v.ID)
		w.must(err)
		return now.Progress
	}
	if w.renew(); state() != scheduler.Open {
		t.Fatalf("in a live packet the visit is %s", state())
	}
	w.move(w.move(p, scheduler.PacketIssued), scheduler.PacketRecalled)
	if r := w.renew(); r.Looked != 1 || state() != scheduler.Withdrawn {
		t.Errorf("looked at %d trees, the visit is %s", r.Looked, state())
	}
}
