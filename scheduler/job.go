package scheduler

import (
	"encoding/json"
	"time"
)

// JobArgs are the arguments of one background job: a JSON-encodable value that
// names its kind. Package jobs defines them; the store queues them.
type JobArgs interface{ Kind() string }

// SerialQueue holds the jobs that must run one after the other, in the order
// in which they were queued, however many workers there are.
const SerialQueue = "serial"

// JobStatus is what is known about a queued job.
type JobStatus struct {
	ID          int64           `json:"id"`
	Kind        string          `json:"kind"`
	Args        json.RawMessage `json:"args"`
	State       string          `json:"state"` // available, pending, scheduled, retryable, running; completed, cancelled, discarded are final
	Attempt     int             `json:"attempt"`
	MaxAttempts int             `json:"max_attempts"`
	CreatedAt   time.Time       `json:"created_at"`
	StartedAt   *time.Time      `json:"started_at,omitempty"`
	FinishedAt  *time.Time      `json:"finished_at,omitempty"`
	Worker      string          `json:"worker,omitempty"`     // the worker process that took it last
	Cancelling  bool            `json:"cancelling,omitempty"` // a person asked the running job to end
	Progress    *JobProgress    `json:"progress,omitempty"`   // of a running job that has told any
	Error       string          `json:"error,omitempty"`      // of the last failed attempt
	Output      json.RawMessage `json:"output,omitempty"`     // what the job reported
}

// Finished reports whether the job will not run again.
func (s *JobStatus) Finished() bool { return s.FinishedAt != nil }

// JobProgress is how far a running job has come.
type JobProgress struct {
	Done  int64     `json:"done"`
	Total int64     `json:"total"` // 0 when not known
	What  string    `json:"what"`  // what is counted: "trees", "reads visits"
	At    time.Time `json:"at"`
}
