package storetest

import (
	"sync/atomic"
	"testing"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// unreadable are arguments that no store can keep.
type unreadable struct {
	Reply func() `json:"reply"`
}

func (unreadable) Kind() string { return "due" }

// A job with the same arguments waits once. It is there when the write that
// queued it was made, and otherwise not.
func jobsAreQueuedOnce(t *testing.T, w *town) {
	ctx := t.Context()
	args := jobs.DueArgs{AsOf: w.today(), Actor: "night"}
	enqueue := func(a scheduler.JobArgs) int64 {
		t.Helper()
		id, err := w.Enqueue(ctx, a)
		return taken(w, id, err)
	}
	first := enqueue(args)
	if again := enqueue(args); again != first {
		t.Errorf("the same job is %d and %d", first, again)
	}
	other, plan := enqueue(jobs.DueArgs{AsOf: w.day(1), Actor: "night"}), enqueue(jobs.PlanArgs{Year: 2027, Actor: "manager"})
	if other == first || plan == first || plan == other {
		t.Errorf("other jobs share a number: %d, %d, %d", first, other, plan)
	}
	for id, kind := range map[int64]string{first: "due", other: "due", plan: "plan"} {
		s, err := w.JobStatus(ctx, id)
		if err != nil || s.ID != id || s.Kind != kind || s.State != "available" || s.Finished() {
			t.Errorf("job %d: %+v, %v", id, s, err)
		}
	}
	_, err := w.JobStatus(ctx, 999_999)
	w.wants(scheduler.NotFound, err)
	if list, matched, err := w.JobList(ctx, "available", plan, 1); err != nil || matched != 3 || len(list) != 1 || list[0].ID != other {
		t.Errorf("jobs before %d: %d of %d, %+v, %v", plan, len(list), matched, list, err)
	}
	if s, err := w.CancelJob(ctx, first, w.stamp("manager")); err != nil || s.State != "cancelled" || !s.Finished() {
		t.Errorf("a waiting job is cancelled: %+v, %v", s, err)
	}
	_, err = w.CancelJob(ctx, first, w.stamp("manager"))
	w.wants(scheduler.Clash, err)
	_, err = w.CancelJob(ctx, 999_999, w.stamp("manager"))
	w.wants(scheduler.NotFound, err)
	if fresh := enqueue(args); fresh == first { // a job that is over is no obstacle
		t.Errorf("the cancelled job %d was queued again", first)
	}
	_, err = w.CancelJob(ctx, other, scheduler.Stamp{At: w.now})
	w.wants(scheduler.Invalid, err)
	if s, err := w.JobStatus(ctx, other); err != nil || s.Finished() {
		t.Errorf("nobody has cancelled job %d: %+v, %v", other, s, err)
	}
	_, err = w.Enqueue(ctx, unreadable{})
	w.wants(scheduler.Internal, err)
}

// The mark of a scheduled run and its job are written together or not at all.
func marksAndJobsGoTogether(t *testing.T, w *town) {
	ctx := t.Context()
	args := jobs.DueArgs{AsOf: w.today(), Actor: "schedule"}
	once := func(name string, day scheduler.Date, at time.Time, a scheduler.JobArgs) (bool, error) {
		return w.EnqueueOnce(ctx, name, day, at, a)
	}
	before := w.picture()
	did, err := once("due", w.today(), w.now, unreadable{})
	if w.wants(scheduler.Internal, err); did {
		t.Error("a job that cannot be kept was queued")
	}
	did, err = once("due", w.today(), time.Time{}, args) // the audit wants a time, after job and mark are written
	if w.wants(scheduler.Invalid, err); did {
		t.Error("a job without a time was queued")
	}
	w.same("after two failures", before, false)
	fresh, err := w.Enqueue(ctx, args)
	w.must(err)
	if s, err := w.JobStatus(ctx, fresh); err != nil || s.Kind != "due" {
		t.Errorf("the failed run left a job behind: %+v, %v", s, err)
	}

	var won atomic.Int32
	for _, err := range atOnce(editors, func(int) error {
		did, err := once("due", w.day(1), w.now, jobs.DueArgs{AsOf: w.day(1), Actor: "schedule"})
		if did {
			won.Add(1)
		}
		return err
	}) {
		w.must(err)
	}
	if won.Load() != 1 {
		t.Errorf("%d servers queued the run of one night", won.Load())
	}
	if last, err := w.LastRun(ctx, "due"); err != nil || last != w.day(1) {
		t.Errorf("last run %s, %v", last, err)
	}
	if did, err = once("due", w.today(), w.now, args); err != nil || !did { // an earlier night is marked for itself
		t.Errorf("an earlier night: %v, %v", did, err)
	}
	if last, err := w.LastRun(ctx, "due"); err != nil || last != w.day(1) {
		t.Errorf("last run %s, %v", last, err)
	}
	if last, err := w.LastRun(ctx, "another"); err != nil || !last.IsZero() {
		t.Errorf("last run of another schedule: %s, %v", last, err)
	}
}
