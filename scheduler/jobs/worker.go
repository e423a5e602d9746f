package jobs

import (
	"context"
	"fmt"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/rivertype"

	"limbround/scheduler"
)

// DueArgs asks for the open visits of all trees as of a date. Runs are serial:
// an older date must not overwrite what a newer one found.
type DueArgs struct {
	AsOf  scheduler.Date `json:"as_of"`
	Actor string         `json:"actor"`
}

// Kind names the job.
func (DueArgs) Kind() string { return "due" }

// InsertOpts puts due runs in line and keeps a waiting one from being queued twice.
func (DueArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{Queue: scheduler.SerialQueue, MaxAttempts: 5, UniqueOpts: onceWhileOpen()}
}

// PlanArgs asks for a draft annual plan.
type PlanArgs struct {
	Year  int            `json:"year"`
	AsOf  scheduler.Date `json:"as_of"`
	Actor string         `json:"actor"`
}

// Kind names the job.
func (PlanArgs) Kind() string { return "plan" }

// InsertOpts puts plans in line behind due runs, whose visits they read.
func (PlanArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{Queue: scheduler.SerialQueue, MaxAttempts: 3, UniqueOpts: onceWhileOpen()}
}

// PacketsArgs asks for crew-day packets of Days days from From.
type PacketsArgs struct {
	From  scheduler.Date `json:"from"`
	Days  int            `json:"days"`
	Actor string         `json:"actor"`
}

// Kind names the job.
func (PacketsArgs) Kind() string { return "packets" }

// InsertOpts lets packets run beside a long due run: the dispatcher waits for them.
func (PacketsArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{MaxAttempts: 3, UniqueOpts: onceWhileOpen()}
}

// onceWhileOpen forbids a second job with the same arguments while one waits
// or runs; a finished one is no obstacle.
func onceWhileOpen() river.UniqueOpts {
	return river.UniqueOpts{ByArgs: true, ByState: []rivertype.JobState{
		rivertype.JobStateAvailable, rivertype.JobStatePending, rivertype.JobStateRetryable,
		rivertype.JobStateRunning, rivertype.JobStateScheduled,
	}}
}

// Funcs are what a worker process does for each kind of job.
type Funcs struct {
	Due     func(context.Context, DueArgs) error
	Plan    func(context.Context, PlanArgs) error
	Packets func(context.Context, PacketsArgs) error
}

// Workers registers the functions with the queue. All must be set: a job that
// no worker knows would wait forever.
func Workers(f Funcs) (*river.Workers, error) {
	if f.Due == nil || f.Plan == nil || f.Packets == nil {
		return nil, fmt.Errorf("register workers: a function is missing")
	}
	w := river.NewWorkers()
	for _, err := range []error{add(w, lateIsFinal(f.Due)), add(w, f.Plan), add(w, f.Packets)} {
		if err != nil {
			return nil, fmt.Errorf("register workers: %w", err)
		}
	}
	return w, nil
}

func add[T river.JobArgs](w *river.Workers, do func(context.Context, T) error) error {
	return river.AddWorkerSafely(w, river.WorkFunc(func(ctx context.Context, job *river.Job[T]) error {
		return verdict(do(ctx, job.Args))
	}))
}

// lateIsFinal gives a due run up when a newer one has been made: an older day
// never becomes the newest again.
func lateIsFinal(due func(context.Context, DueArgs) error) func(context.Context, DueArgs) error {
	return func(ctx context.Context, q DueArgs) error {
		err := due(ctx, q)
		if scheduler.KindOf(err) == scheduler.Stale {
			return river.JobCancel(err)
		}
		return err
	}
}

// verdict tells the queue whether trying again can help: a person must change
// something first when the input is wrong or no plan exists.
func verdict(err error) error {
	switch scheduler.KindOf(err) {
	case "", scheduler.Internal, scheduler.Unavailable, scheduler.Stale, scheduler.Clash:
		return err
	}
	return river.JobCancel(err)
}

// Report keeps a job's result for whoever asks for its status; result is any
// value that encodes as JSON. It must be called with the context that the job's
// function was given.
func Report(ctx context.Context, result any) error {
	if err := river.RecordOutput(ctx, result); err != nil {
		return fmt.Errorf("report job result: %w", err)
	}
	return nil
}
