package db_test

import (
	"context"
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/riverqueue/river"

	"limbround/db"
	"limbround/db/dbtest"
)

// took makes a job look as if a worker had it in hand.
func took(t *testing.T, d *db.DB, id int64, worker string, attempt int, metadata string) {
	t.Helper()
	plainSQL(t, d, fmt.Sprintf(`UPDATE river_job SET state = 'running', attempted_by = '{old_1_a,%s}', attempt = %d, max_attempts = 3,
attempted_at = now(), metadata = '%s' WHERE id = %d`, worker, attempt, metadata, id))
}

func TestJobsOfALostWorkerAreTakenUp(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	leave, err := db.Live(ctx, d, "alive_2_b")
	if err != nil {
		t.Fatal(err)
	}
	var ids []int64
	for i := range 5 {
		id, err := d.Enqueue(ctx, pruneArgs{fmt.Sprint(i)})
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, id)
	}
	again, last, cancelled, others, own := ids[0], ids[1], ids[2], ids[3], ids[4]
	took(t, d, again, "ghost_3_c", 1, "{}")
	took(t, d, last, "ghost_3_c", 3, "{}")
	took(t, d, cancelled, "ghost_3_c", 1, `{"cancel_attempted_at": "2026-06-01T08:00:00Z"}`)
	took(t, d, others, "alive_2_b", 1, "{}")
	took(t, d, own, "own_4_d", 1, "{}")
	states := func() string {
		return fmt.Sprint(dbtest.Query(t, d.URL(), `SELECT state::text FROM river_job ORDER BY id`))
	}
	at := time.Date(2026, 6, 1, 8, 0, 0, 0, time.UTC)
	two := []*db.Sweeper{db.NewSweeper(d), db.NewSweeper(d)}
	sweep := func(at time.Time) {
		t.Helper()
		var wg sync.WaitGroup
		for _, s := range two {
			wg.Go(func() {
				if err := s.Sweep(ctx, "own_4_d", at); err != nil {
					t.Error(err)
				}
			})
		}
		wg.Wait()
	}
	const nothing = "[running running running running running]"
	for _, d := range []time.Duration{0, db.GoneFor - 1} {
		if sweep(at.Add(d)); states() != nothing {
			t.Fatalf("taken up after %s: %s", d, states())
		}
	}
	if sweep(at.Add(db.GoneFor)); states() != "[available discarded cancelled running running]" {
		t.Fatalf("after the time for it: %s", states())
	}
	if n := count(t, d, `SELECT count(*) FROM river_job WHERE cardinality(errors) = 1 AND errors[1]->>'error' = 'worker ghost_3_c ended while it ran the job'`); n != 3 {
		t.Errorf("%d jobs say once why they were taken up", n)
	}
	if s, err := d.JobStatus(ctx, again); err != nil || s.Attempt != 1 || s.Error == "" {
		t.Errorf("%+v, %v", s, err)
	}
	sweep(at.Add(time.Hour)) // however long a live worker takes
	leave()
	if sweep(at.Add(2 * time.Hour)); states() != "[available discarded cancelled running running]" {
		t.Errorf("taken up at the first sight of a free lock: %s", states())
	}
	if sweep(at.Add(2*time.Hour + db.GoneFor)); states() != "[available discarded cancelled available running]" {
		t.Errorf("after the other worker left: %s", states())
	}
}

// A worker that comes back between two sweeps is not gone.
func TestAWorkerThatComesBackKeepsItsJobs(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	id, err := d.Enqueue(ctx, pruneArgs{"Mill Street"})
	if err != nil {
		t.Fatal(err)
	}
	took(t, d, id, "back_1_a", 1, "{}")
	s, at := db.NewSweeper(d), time.Date(2026, 6, 1, 8, 0, 0, 0, time.UTC)
	look := func(at time.Time) {
		t.Helper()
		if err := s.Sweep(ctx, "own_2_b", at); err != nil {
			t.Fatal(err)
		}
	}
	look(at)
	leave, err := db.Live(ctx, d, "back_1_a")
	if err != nil {
		t.Fatal(err)
	}
	look(at.Add(db.GoneFor))
	leave()
	look(at.Add(2 * db.GoneFor))
	if s, err := d.JobStatus(ctx, id); err != nil || s.State != "running" {
		t.Errorf("job is %s, %v", s.State, err)
	}
}

// TestALostLockEndsTheJobs cuts the connection on which a worker holds its
// lock: its job must end at once, since another may take it up, and is done again
// under a new name.
func TestALostLockEndsTheJobs(t *testing.T) {
	d := dbtest.New(t)
	w := river.NewWorkers()
	ended, running := make(chan struct{}), make(chan string, 1)
	river.AddWorker(w, river.WorkFunc(func(ctx context.Context, job *river.Job[pruneArgs]) error {
		if len(job.AttemptedBy) > 1 {
			select {
			case <-ended:
			default:
				t.Error("the job began again before its first run had ended")
			}
			return nil
		}
		running <- job.AttemptedBy[0]
		<-ctx.Done()
		close(ended)
		return ctx.Err()
	}))
	stop, err := d.StartWorkers(t.Context(), w)
	if err != nil {
		t.Fatal(err)
	}
	id, err := d.Enqueue(t.Context(), pruneArgs{"Mill Street"})
	if err != nil {
		t.Fatal(err)
	}
	first := <-running
	if n := count(t, d, `SELECT count(pg_terminate_backend(pid)) FROM pg_locks
WHERE locktype = 'advisory' AND database = (SELECT oid FROM pg_database WHERE datname = current_database())`); n < 1 {
		t.Fatal("no lock to cut")
	}
	if s := awaitJob(t, d, id); s.State != "completed" || s.Worker == first {
		t.Errorf("job is %s, done by %s after %s", s.State, s.Worker, first)
	}
	if err := stop(t.Context()); err != nil {
		t.Error(err)
	}
}
