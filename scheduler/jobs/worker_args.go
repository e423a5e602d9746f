package jobs

import (
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/rivertype"

	"limbround/scheduler"
)

// DueArgs asks for the open visits of all trees as of a date. Runs are serial:
// an older date must not overwrite what a newer one found.
type DueArgs struct {
	AsOf  scheduler.Date `json:"as_of"`
	Full  bool           `json:"full,omitempty"` // look at every tree, changed or not
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

// WeekDraftArgs asks for the drafts of one working week.
type WeekDraftArgs struct {
	Monday scheduler.Date `json:"monday"`
	Actor  string         `json:"actor"`
}

// Kind names the job.
func (WeekDraftArgs) Kind() string { return "week_draft" }

// InsertOpts puts the draft in line behind the due runs of the nights before it.
func (WeekDraftArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{Queue: scheduler.SerialQueue, MaxAttempts: 3, UniqueOpts: onceWhileOpen()}
}

// RemindArgs asks for the reminders of a day.
type RemindArgs struct {
	Day   scheduler.Date `json:"day"`
	Actor string         `json:"actor"`
}

// Kind names the job.
func (RemindArgs) Kind() string { return "reminders" }

// InsertOpts keeps a waiting one from being queued twice.
func (RemindArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{MaxAttempts: 5, UniqueOpts: onceWhileOpen()}
}

// ImportApplyArgs asks to apply a batch that was staged, checked and held.
type ImportApplyArgs struct {
	Batch int64  `json:"batch"`
	Actor string `json:"actor"`
}

// Kind names the job.
func (ImportApplyArgs) Kind() string { return "import_apply" }

// InsertOpts puts it in line: a due run queued after it sees the new trees.
func (ImportApplyArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{Queue: scheduler.SerialQueue, MaxAttempts: 3, UniqueOpts: onceWhileOpen()}
}

// onceWhileOpen forbids a second job with the same arguments while one waits
// or runs; a finished one is no obstacle.
func onceWhileOpen() river.UniqueOpts {
	return river.UniqueOpts{ByArgs: true, ByState: []rivertype.JobState{
		rivertype.JobStateAvailable, rivertype.JobStatePending, rivertype.JobStateRetryable,
		rivertype.JobStateRunning, rivertype.JobStateScheduled,
	}}
}
