package db_test

import (
	"context"
	"fmt"
	"log/slog"
	"sync/atomic"
	"testing"
	"time"

	"limbround/db"
	"limbround/db/dbtest"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// office runs the program's own kinds of job with functions of the test.
func office(t *testing.T, d *db.DB, change func(*jobs.Funcs)) {
	t.Helper()
	f := jobs.Funcs{
		Due:         func(context.Context, jobs.DueArgs, jobs.Tell) error { return nil },
		Plan:        func(context.Context, jobs.PlanArgs, jobs.Tell) error { return nil },
		Packets:     func(context.Context, jobs.PacketsArgs, jobs.Tell) error { return nil },
		WeekDraft:   func(context.Context, jobs.WeekDraftArgs, jobs.Tell) error { return nil },
		Remind:      func(context.Context, jobs.RemindArgs, jobs.Tell) error { return nil },
		ImportApply: func(context.Context, jobs.ImportApplyArgs, jobs.Tell) error { return nil },
	}
	change(&f)
	w, err := jobs.Workers(jobs.Desk{Store: d, Now: time.Now, Log: slog.New(slog.DiscardHandler)}, f)
	if err != nil {
		t.Fatal(err)
	}
	stop, err := d.StartWorkers(t.Context(), w)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := stop(context.Background()); err != nil {
			t.Error(err)
		}
	})
}

func queued(t *testing.T, d *db.DB, args scheduler.JobArgs) int64 {
	t.Helper()
	id, err := d.Enqueue(t.Context(), args)
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func TestWhatMayPassIsTriedAgainAndWhatIsWrongIsNot(t *testing.T) {
	d := dbtest.New(t)
	var tries atomic.Int32
	office(t, d, func(f *jobs.Funcs) {
		f.Due = func(context.Context, jobs.DueArgs, jobs.Tell) error {
			if tries.Add(1) == 1 {
				return scheduler.Errorf(scheduler.Unavailable, "the database is starting")
			}
			return nil
		}
		f.Packets = func(context.Context, jobs.PacketsArgs, jobs.Tell) error {
			return scheduler.Errorf(scheduler.Invalid, "the day is over")
		}
		f.Remind = func(context.Context, jobs.RemindArgs, jobs.Tell) error {
			return scheduler.Errorf(scheduler.Internal, "never works")
		}
	})
	passing, wrong, hopeless := queued(t, d, jobs.DueArgs{AsOf: today}), queued(t, d, jobs.PacketsArgs{From: today, Days: 1}), int64(0)
	if s := awaitJob(t, d, passing); s.State != "completed" || s.Attempt != 2 || s.StartedAt == nil || s.StartedAt.Sub(s.CreatedAt) < 500*time.Millisecond {
		t.Errorf("what may pass: %s at attempt %d, begun again after %s", s.State, s.Attempt, s.StartedAt.Sub(s.CreatedAt))
	}
	if s := awaitJob(t, d, wrong); s.State != "cancelled" || s.Attempt != 1 {
		t.Errorf("what is wrong: %s at attempt %d", s.State, s.Attempt)
	}
	// The waits grow with the fourth power of the attempt: the last attempts are put here by hand.
	hopeless = queued(t, d, jobs.RemindArgs{Day: today + 1})
	for s := awaitAttempt(t, d, hopeless, 1); s.Attempt < s.MaxAttempts; {
		if s.State != "available" && s.State != "retryable" {
			t.Fatalf("after attempt %d the job is %s", s.Attempt, s.State)
		}
		plainSQL(t, d, fmt.Sprintf(`UPDATE river_job SET state = 'available', scheduled_at = now() WHERE id = %d AND state IN ('available', 'retryable')`, hopeless))
		s = awaitAttempt(t, d, hopeless, s.Attempt+1)
	}
	if s := awaitJob(t, d, hopeless); s.State != "discarded" || s.Attempt != 5 || s.Error != "never works" {
		t.Errorf("what never works: %s at attempt %d, %q", s.State, s.Attempt, s.Error)
	}
}

// awaitAttempt waits until an attempt has ended.
func awaitAttempt(t *testing.T, d *db.DB, id int64, attempt int) scheduler.JobStatus {
	t.Helper()
	for begin := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		s, err := d.JobStatus(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		if s.Attempt >= attempt && s.State != "running" {
			return s
		}
		if time.Since(begin) > 20*time.Second {
			t.Fatalf("attempt %d does not end: %+v", attempt, s)
		}
	}
}

func TestTheSameJobWaitsOnce(t *testing.T) {
	d := dbtest.New(t)
	first := queued(t, d, jobs.DueArgs{AsOf: today, Actor: "dana"})
	if again := queued(t, d, jobs.DueArgs{AsOf: today, Actor: "dana"}); again != first {
		t.Errorf("jobs %d and %d", first, again)
	}
	if other := queued(t, d, jobs.DueArgs{AsOf: today + 1, Actor: "dana"}); other == first {
		t.Error("another day is the same job")
	}
	office(t, d, func(*jobs.Funcs) {})
	awaitJob(t, d, first)
	if later := queued(t, d, jobs.DueArgs{AsOf: today, Actor: "dana"}); later == first {
		t.Error("a finished job stands in the way of a new one")
	}
}

func TestARunningJobIsCancelledWhereverItRuns(t *testing.T) {
	for name, pooled := range map[string]bool{"listening": false, "behind a pooler": true} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			url := dbtest.URL(t)
			d, elsewhere := open(t, db.Config{URL: url, Pooled: pooled}), open(t, db.Config{URL: url})
			running := make(chan struct{})
			office(t, d, func(f *jobs.Funcs) {
				f.Plan = func(ctx context.Context, _ jobs.PlanArgs, tell jobs.Tell) error {
					tell(1, 3, "reads visits")
					close(running)
					<-ctx.Done()
					return ctx.Err()
				}
			})
			id, waiting := queued(t, d, jobs.PlanArgs{Year: 2027}), int64(0)
			<-running
			waiting = queued(t, d, jobs.PlanArgs{Year: 2028})
			s, err := elsewhere.JobStatus(t.Context(), id)
			if err != nil || s.State != "running" || s.Progress == nil || s.Progress.Done != 1 || s.Progress.Total != 3 || s.Progress.What != "reads visits" {
				t.Errorf("running: %+v, progress %+v, %v", s, s.Progress, err)
			}
			if s, err := elsewhere.CancelJob(t.Context(), waiting, by); err != nil || s.State != "cancelled" {
				t.Errorf("a waiting job: %+v, %v", s, err)
			}
			if s, err := elsewhere.CancelJob(t.Context(), id, by); err != nil || !s.Cancelling {
				t.Errorf("a running job: %+v, %v", s, err)
			}
			if s := awaitJob(t, elsewhere, id); s.State != "cancelled" || s.Progress != nil {
				t.Errorf("in the end: %+v", s)
			}
			_, err = elsewhere.CancelJob(t.Context(), id, by)
			wantKind(t, err, scheduler.Clash)
			_, err = elsewhere.CancelJob(t.Context(), 4711, by)
			wantKind(t, err, scheduler.NotFound)
			if n := count(t, d, `SELECT count(*) FROM audit WHERE verb = 'cancel' AND noun = 'job'`); n != 2 {
				t.Errorf("%d lines of audit for two cancelled jobs", n)
			}
			list, matched, err := elsewhere.JobList(t.Context(), "cancelled", 0, 1)
			if err != nil || matched != 2 || len(list) != 1 || list[0].ID != waiting {
				t.Errorf("list: %d of %d %+v, %v", len(list), matched, list, err)
			}
			if list, _, err = elsewhere.JobList(t.Context(), "", waiting, 10); err != nil || len(list) != 1 || list[0].ID != id {
				t.Errorf("the rest of the list: %+v, %v", list, err)
			}
		})
	}
}

// The serial queue keeps its order across processes, also when an older job is
// tried again.
func TestSerialJobsKeepTheirOrderAcrossWorkers(t *testing.T) {
	url := dbtest.URL(t)
	order := make(chan scheduler.Date, 10)
	var under, failedOnce atomic.Int32
	for range 3 {
		office(t, open(t, db.Config{URL: url}), func(f *jobs.Funcs) {
			f.Due = func(_ context.Context, q jobs.DueArgs, _ jobs.Tell) error {
				if under.Add(1) > 1 {
					t.Error("two serial jobs at once")
				}
				defer under.Add(-1)
				time.Sleep(30 * time.Millisecond)
				if q.AsOf == today+1 && failedOnce.Add(1) == 1 {
					return scheduler.Errorf(scheduler.Unavailable, "once")
				}
				order <- q.AsOf
				return nil
			}
		})
	}
	d := open(t, db.Config{URL: url})
	last := int64(0)
	for i := range 4 {
		last = queued(t, d, jobs.DueArgs{AsOf: today + scheduler.Date(i)})
	}
	if s := awaitJob(t, d, last); s.State != "completed" {
		t.Fatalf("last job is %s", s.State)
	}
	for i := range 4 {
		if got := <-order; got != today+scheduler.Date(i) {
			t.Errorf("at place %d: %s", i, got)
		}
	}
}
