package storetest

import (
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// recordOf is a record of ten minutes that ends now. n makes its id.
func (w *town) recordOf(n int, v scheduler.Visit, more func(*scheduler.WorkRecord)) scheduler.WorkRecord {
	r := scheduler.WorkRecord{
		ID: fmt.Sprintf("6f1d3a50-0000-4000-8000-%012d", n), VisitID: v.ID, TreeID: v.TreeID, By: "R. Osei",
		Start: w.now.Add(-10 * time.Minute), Finish: w.now, Kinds: v.Kinds, Outcome: scheduler.OutcomeDone, LiveCrown: 10,
	}
	if more != nil {
		more(&r)
	}
	return r
}

// send hands in one record that must be taken.
func (w *town) send(r scheduler.WorkRecord) scheduler.RecordAnswer {
	w.t.Helper()
	reply := w.reply(r)
	if reply.Answer == nil {
		w.t.Fatalf("record refused: %+v", reply)
	}
	return *reply.Answer
}

func (w *town) reply(r scheduler.WorkRecord) jobs.RecordReply {
	w.t.Helper()
	out, err := jobs.Record{Store: w, Now: w.clock}.Run(w.t.Context(), jobs.RecordRequest{Records: []scheduler.WorkRecord{r}, Actor: "card"})
	w.must(err)
	return out.Answers[0]
}

// The same record sent twenty times at once is one record and one answer.
func recordTwice(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	rec := w.recordOf(1, w.lead("PL-2"), func(r *scheduler.WorkRecord) { r.DBH = 155 })
	const times = 20
	answers := make([]scheduler.RecordAnswer, times)
	errs := make([]error, times)
	var wg sync.WaitGroup
	for i := range times {
		wg.Go(func() {
			out, err := jobs.Record{Store: w, Now: w.clock}.Run(ctx, jobs.RecordRequest{Records: []scheduler.WorkRecord{rec}, Actor: "card"})
			if errs[i] = err; err == nil && out.Answers[0].Answer != nil {
				answers[i] = *out.Answers[0].Answer
			} else if err == nil {
				errs[i] = fmt.Errorf("refused: %+v", out.Answers[0])
			}
		})
	}
	wg.Wait()
	fresh := 0
	for i := range answers {
		w.must(errs[i])
		if !answers[i].Replayed {
			fresh++
		}
		if diff := cmp.Diff(asSent(t, answers[0]), asSent(t, answers[i])); diff != "" {
			t.Errorf("answer %d differs: %s", i, diff)
		}
	}
	if fresh != 1 || len(answers[0].Closed) != 1 {
		t.Errorf("%d fresh answers, closed %v", fresh, answers[0].Closed)
	}
	entries, err := w.RecordsOfTree(ctx, rec.TreeID)
	w.must(err)
	sizes, err := w.MeasurementsOfTree(ctx, rec.TreeID)
	w.must(err)
	taken := 0
	for _, m := range sizes {
		if m.RecordID == rec.ID && m.DBH == 155 {
			taken++
		}
	}
	if len(entries) != 2 || taken != 1 || w.treeNamed("PL-2").DoseUsed != 10 {
		t.Errorf("%d records, %d measurements, dose %d", len(entries), taken, w.treeNamed("PL-2").DoseUsed)
	}
	rec.LiveCrown = 11
	if reply := w.reply(rec); reply.Kind != scheduler.Clash {
		t.Errorf("the same id with other content: %+v", reply)
	}
}

// asSent is an answer as its receiver sees it.
func asSent(t *testing.T, a scheduler.RecordAnswer) string {
	t.Helper()
	b, err := json.MarshalIndent(a, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func recordRefusals(t *testing.T, w *town) {
	w.due()
	v := w.lead("PL-2")
	for i, c := range []struct {
		field string
		spoil func(*scheduler.WorkRecord)
	}{
		{"tree_id", func(r *scheduler.WorkRecord) { r.TreeID, r.VisitID = 9999, 0 }},
		{"visit_id", func(r *scheduler.WorkRecord) { r.VisitID = 9999 }},
		{"visit_id", func(r *scheduler.WorkRecord) { r.VisitID = w.lead("PL-3").ID }},
		{"packet_id", func(r *scheduler.WorkRecord) { r.PacketID = 9999 }},
		{"crew_id", func(r *scheduler.WorkRecord) { r.CrewID = 9999 }},
		{"watch[0].letter", func(r *scheduler.WorkRecord) { r.Watch = []scheduler.WatchFinding{{Letter: "Q"}} }},
		{"could_not", func(r *scheduler.WorkRecord) { r.Outcome, r.LiveCrown = scheduler.OutcomeNotDone, 0 }},
		{"finish", func(r *scheduler.WorkRecord) { r.Finish = r.Start.Add(-time.Second) }},
	} {
		reply := w.reply(w.recordOf(100+i, v, c.spoil))
		if reply.Kind != scheduler.Invalid || len(reply.Faults) != 1 || reply.Faults[0].Field != c.field || reply.Faults[0].Rule == "" {
			t.Errorf("%s: %+v", c.field, reply)
		}
	}
	if w.lead("PL-2").ID != v.ID || w.treeNamed("PL-2").LastVisit != scheduler.NewDate(2020, 12, 8) {
		t.Error("a refused record left a mark")
	}
	if reply := w.reply(w.recordOf(100, v, nil)); reply.Answer == nil {
		t.Errorf("the id of a refused record is free: %+v", reply)
	}
}

// What a code sets is still there after the next night's pass, and gone when its time is over.
func holdsOutliveTheNight(t *testing.T, w *town) {
	w.due()
	v := w.lead("PL-3")
	w.send(w.recordOf(1, v, func(r *scheduler.WorkRecord) {
		r.Outcome, r.CouldNot, r.LiveCrown = scheduler.OutcomeNotDone, scheduler.NestFound, 0
	}))
	check := func(when string, held bool) {
		t.Helper()
		got := w.open("PL-3")[v.Kind]
		if got.ID != v.ID || (got.State == scheduler.Held) != held || (held && !strings.Contains(got.Hold, "nest")) {
			t.Errorf("%s: visit %d is %s %q", when, got.ID, got.State, got.Hold)
		}
	}
	check("at once", true)
	w.days(1)
	w.due()
	check("after the night", true)
	w.days(41)
	w.due()
	check("on the recheck date", false)

	w.send(w.recordOf(2, v, func(r *scheduler.WorkRecord) {
		r.Outcome, r.CouldNot, r.LiveCrown = scheduler.OutcomeNotDone, scheduler.NeedsLift, 0
	}))
	w.days(1)
	w.due()
	if got := w.open("PL-3")[v.Kind]; got.State == scheduler.Held || got.Skill == scheduler.Ground {
		t.Errorf("needs a lift: %s, skill %s", got.State, got.Skill)
	}
	w.send(w.recordOf(3, v, func(r *scheduler.WorkRecord) {
		r.Outcome, r.CouldNot, r.LiveCrown = scheduler.OutcomeNotDone, scheduler.RanOutOfDay, 0
	}))
	if got := w.open("PL-3")[v.Kind]; got.Score < scheduler.FirstScore {
		t.Errorf("ran out of day: score %d is not on top", got.Score)
	}
	w.send(w.recordOf(4, v, func(r *scheduler.WorkRecord) {
		r.Outcome, r.CouldNot, r.LiveCrown = scheduler.OutcomeNotDone, scheduler.TreeGone, 0
	}))
	open := w.open("PL-3")
	if open[scheduler.Inspection].Origin != scheduler.FromRecord || open[v.Kind].State != scheduler.Held {
		t.Errorf("tree gone: inspection %+v, visit %s", open[scheduler.Inspection], open[v.Kind].State)
	}
	w.days(1)
	w.due()
	inspection := w.open("PL-3")[scheduler.Inspection]
	if inspection.ID != open[scheduler.Inspection].ID {
		t.Error("the night withdrew the inspection")
	}
	w.send(w.recordOf(5, inspection, func(r *scheduler.WorkRecord) { r.LiveCrown = 0 }))
	if got := w.open("PL-3")[v.Kind]; got.State == scheduler.Held {
		t.Errorf("the site was checked, but the visit is %s: %s", got.State, got.Hold)
	}
}

func hazardOpensAVisit(t *testing.T, w *town) {
	w.due()
	v := w.lead("PL-2")
	answer := w.send(w.recordOf(1, v, func(r *scheduler.WorkRecord) {
		r.Outcome, r.CouldNot, r.LiveCrown = scheduler.OutcomeNotDone, scheduler.DeadOrHazard, 0
		r.Hazard = &scheduler.Hazard{What: "hanging limb over the walk", Class: 0, CalledTo: "dispatcher on duty", At: r.Finish}
	}))
	if answer.Next[0].Kind != scheduler.MakeSafe || answer.Next[0].Class != 0 {
		t.Errorf("next visits: %+v", answer.Next)
	}
	w.days(1)
	w.due()
	open := w.open("PL-2")
	safe := open[scheduler.MakeSafe]
	if safe.Origin != scheduler.FromHazard || safe.Window.Latest != w.today() || open[v.Kind].State != scheduler.Held {
		t.Errorf("after the night: make safe %+v, visit %s", safe, open[v.Kind].State)
	}
	w.send(w.recordOf(2, safe, func(r *scheduler.WorkRecord) { r.LiveCrown = 0 }))
	open = w.open("PL-2")
	if _, there := open[scheduler.MakeSafe]; there || open[v.Kind].State == scheduler.Held {
		t.Errorf("made safe: %+v", open)
	}
}

// A record that was held up for days neither moves facts back nor puts a hold
// on a visit that has been made since.
func lateRecord(t *testing.T, w *town) {
	w.due()
	v := w.lead("PL-2")
	late := w.recordOf(1, v, func(r *scheduler.WorkRecord) {
		r.Outcome, r.CouldNot, r.LiveCrown, r.DBH = scheduler.OutcomeNotDone, scheduler.NestFound, 0, 140
	})
	w.days(3)
	w.send(w.recordOf(2, v, func(r *scheduler.WorkRecord) { r.DBH = 156 }))
	before := w.treeNamed("PL-2")
	answer := w.send(late)
	if diff := cmp.Diff(before, w.treeNamed("PL-2")); diff != "" {
		t.Errorf("facts moved: %s", diff)
	}
	for _, n := range answer.Next {
		if n.State == scheduler.Held {
			t.Errorf("%s is held by old news", n.Kind)
		}
	}
	if got, err := w.Visit(t.Context(), v.ID); err != nil || got.Progress != scheduler.Completed {
		t.Errorf("the visit is %s, %v", got.Progress, err)
	}
}
