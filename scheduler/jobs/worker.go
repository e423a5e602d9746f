package jobs

import (
	"context"
	"fmt"
	"log/slog"
	"slices"
	"time"

	"github.com/riverqueue/river"

	"limbround/scheduler"
)

// Funcs are what a worker process does for each kind of job. Each gets a Tell
// for its progress. The functions MUST end when their context does, and write
// in one transaction, so that a job that is cancelled or whose worker dies has
// written all or nothing.
type Funcs struct {
	Due         func(context.Context, DueArgs, Tell) error
	Plan        func(context.Context, PlanArgs, Tell) error
	Packets     func(context.Context, PacketsArgs, Tell) error
	WeekDraft   func(context.Context, WeekDraftArgs, Tell) error
	Remind      func(context.Context, RemindArgs, Tell) error
	ImportApply func(context.Context, ImportApplyArgs, Tell) error
}

// QueueStore is what a worker asks of the queue beside the jobs themselves.
type QueueStore interface {
	// JobsAhead reports whether an older job of the same queue is not finished.
	JobsAhead(ctx context.Context, job int64) (bool, error)
	TellProgress(ctx context.Context, job int64, p scheduler.JobProgress) error
}

// Desk is what the workers of one process share.
type Desk struct {
	Store QueueStore
	Now   func() time.Time
	Log   *slog.Logger
}

// Workers registers the functions with the queue. All must be set: a job that
// no worker knows would wait forever.
func Workers(d Desk, f Funcs) (*river.Workers, error) {
	w := river.NewWorkers()
	for _, err := range []error{
		// An older day never becomes the newest again.
		add(w, d, f.Due, scheduler.Stale),
		add(w, d, f.Plan),
		add(w, d, f.Packets),
		add(w, d, f.WeekDraft),
		add(w, d, f.Remind),
		// The check of a batch does not become true again; a person stages it anew.
		add(w, d, f.ImportApply, scheduler.Stale, scheduler.Clash),
	} {
		if err != nil {
			return nil, fmt.Errorf("register workers: %w", err)
		}
	}
	return w, nil
}

// turn is how long a job of the serial queue steps back when an older one is
// under way in another process.
const turn = time.Second

// add registers one kind; errors of the kinds in final are not tried again.
func add[T river.JobArgs](w *river.Workers, d Desk, do func(context.Context, T, Tell) error, final ...scheduler.Kind) error {
	if do == nil {
		var args T
		return fmt.Errorf("the function for %s is missing", args.Kind())
	}
	return river.AddWorkerSafely(w, river.WorkFunc(func(ctx context.Context, job *river.Job[T]) error {
		if job.Queue == scheduler.SerialQueue {
			ahead, err := d.Store.JobsAhead(ctx, job.ID)
			if err != nil {
				return err
			}
			if ahead {
				return river.JobSnooze(turn) // does not count as an attempt
			}
		}
		err := do(ctx, job.Args, d.tell(ctx, job.ID))
		if err != nil {
			d.Log.Error("job failed", "job", job.ID, "kind", job.Kind, "attempt", job.Attempt, "err", err)
		}
		return verdict(ctx, err, final...)
	}))
}

// verdict tells the queue whether trying again can help: a person must change
// something first when the input is wrong or no plan exists. A job that was
// ended from outside says so itself: why it was ended decides what becomes of it.
func verdict(ctx context.Context, err error, final ...scheduler.Kind) error {
	if err != nil && ctx.Err() != nil {
		return fmt.Errorf("%w: %w", ctx.Err(), err)
	}
	kind := scheduler.KindOf(err)
	if slices.Contains(final, kind) {
		return river.JobCancel(err)
	}
	switch kind {
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
