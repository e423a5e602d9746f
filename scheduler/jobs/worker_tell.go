package jobs

import (
	"context"
	"sync"
	"time"

	"limbround/scheduler"
)

// Tell takes how far a verb has come: done of total (0 when not known) of what
// is counted, or the step that it is at. It may be called often and from
// several goroutines. A nil Tell is not called; say does the check.
type Tell func(done, total int64, what string)

func (t Tell) say(done, total int64, what string) {
	if t != nil {
		t(done, total, what)
	}
}

// tellEvery is the least time between two notes of one job's progress.
const tellEvery = time.Second

// tell makes the Tell of a running job: it notes the first call, and then at
// most one a second. A note that cannot be written does not stop the work.
func (d Desk) tell(ctx context.Context, job int64) Tell {
	var mu sync.Mutex
	var last time.Time
	return func(done, total int64, what string) {
		mu.Lock()
		defer mu.Unlock()
		now := d.Now()
		if !last.IsZero() && now.Sub(last) < tellEvery {
			return
		}
		last = now
		if err := d.Store.TellProgress(ctx, job, scheduler.JobProgress{Done: done, Total: total, What: what, At: now}); err != nil {
			d.Log.Debug("progress of a job is not noted", "job", job, "err", err)
		}
	}
}
