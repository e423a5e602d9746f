package db_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"github.com/riverqueue/river"

	"limbround/db"
	"limbround/db/dbtest"
	"limbround/scheduler"
)

type pruneArgs struct {
	Street string `json:"street"`
}

func (pruneArgs) Kind() string { return "test_prune" }

// pruneWorkers do the test's own jobs; a street "wall" fails.
func pruneWorkers() *river.Workers {
	w := river.NewWorkers()
	river.AddWorker(w, river.WorkFunc(func(ctx context.Context, job *river.Job[pruneArgs]) error {
		if job.Args.Street == "wall" {
			return river.JobCancel(errors.New("no trees there"))
		}
		return river.RecordOutput(ctx, map[string]string{"done": job.Args.Street})
	}))
	return w
}

func awaitJob(t *testing.T, d *db.DB, id int64) scheduler.JobStatus {
	t.Helper()
	for begin := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		s, err := d.JobStatus(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		if s.Finished() {
			return s
		}
		if time.Since(begin) > 20*time.Second {
			t.Fatalf("job is still %s", s.State)
		}
	}
}

func TestJobsAreQueuedAndDone(t *testing.T) {
	for name, pooled := range map[string]bool{"listening": false, "behind a pooler": true} {
		t.Run(name, func(t *testing.T) {
			d := open(t, db.Config{URL: dbtest.URL(t), Pooled: pooled})
			good, err := d.Enqueue(t.Context(), pruneArgs{"Mill Street"})
			if err != nil {
				t.Fatal(err)
			}
			if s, err := d.JobStatus(t.Context(), good); err != nil || s.State != "available" || s.Kind != "test_prune" {
				t.Fatalf("waiting job: %+v, %v", s, err)
			}
			stop, err := d.StartWorkers(t.Context(), pruneWorkers())
			if err != nil {
				t.Fatal(err)
			}
			bad, err := d.Enqueue(t.Context(), pruneArgs{"wall"})
			if err != nil {
				t.Fatal(err)
			}
			if s := awaitJob(t, d, good); s.State != "completed" || string(s.Output) != `{"done": "Mill Street"}` {
				t.Errorf("good job: %s, output %s", s.State, s.Output)
			}
			if s := awaitJob(t, d, bad); s.State != "cancelled" || s.Error == "" {
				t.Errorf("bad job: %s, error %q", s.State, s.Error)
			}
			if err := stop(t.Context()); err != nil {
				t.Fatal(err)
			}
		})
	}
}

func TestUnknownJob(t *testing.T) {
	_, err := dbtest.New(t).JobStatus(t.Context(), 4711)
	wantKind(t, err, scheduler.NotFound)
}

func TestEnqueueOnceIsOncePerDateHoweverManyServers(t *testing.T) {
	d := dbtest.New(t)
	wins := make(chan bool, 8)
	for range cap(wins) {
		go func() {
			did, err := d.EnqueueOnce(t.Context(), "nightly", today, by.At, pruneArgs{"Mill Street"})
			if err != nil {
				t.Error(err)
			}
			wins <- did
		}()
	}
	n := 0
	for range cap(wins) {
		if <-wins {
			n++
		}
	}
	if jobs := count(t, d, `SELECT count(*) FROM river_job`); n != 1 || jobs != 1 {
		t.Errorf("%d servers say they queued it, %d jobs; want 1 and 1", n, jobs)
	}
	if last, err := d.LastRun(t.Context(), "nightly"); err != nil || last != today {
		t.Errorf("last run %s, %v", last, err)
	}
	if last, err := d.LastRun(t.Context(), "never"); err != nil || !last.IsZero() {
		t.Errorf("a schedule that never ran: %s, %v", last, err)
	}
}

func TestACrashBetweenMarkAndJobLeavesNeither(t *testing.T) {
	d := dbtest.New(t)
	plainSQL(t, d, `ALTER TABLE river_job ADD CONSTRAINT no_more CHECK (false) NOT VALID`)
	if _, err := d.EnqueueOnce(t.Context(), "nightly", today, by.At, pruneArgs{"Mill Street"}); err == nil {
		t.Fatal("the job went through")
	}
	plainSQL(t, d, `ALTER TABLE river_job DROP CONSTRAINT no_more`)
	if last, err := d.LastRun(t.Context(), "nightly"); err != nil || !last.IsZero() {
		t.Errorf("the mark stands without its job: %s, %v", last, err)
	}
}
