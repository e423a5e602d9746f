package scheduler

import (
	"encoding/json"
	"time"
)

// JobArgs are the arguments of one background job: a JSON-encodable value that
// names its kind. Package jobs defines them; the store queues them.
type JobArgs interface{ Kind() string }

// SerialQueue holds the jobs of which each worker process runs one at a time,
// in the order in which they were queued.
const SerialQueue = "serial"

// JobStatus is what is known about a queued job.
type JobStatus struct {
	ID          int64           `json:"id"`
	Kind        string          `json:"kind"`
	State       string          `json:"state"` // available, scheduled, running, retryable, completed, cancelled, discarded
	Attempt     int             `json:"attempt"`
	MaxAttempts int             `json:"max_attempts"`
	CreatedAt   time.Time       `json:"created_at"`
	StartedAt   *time.Time      `json:"started_at,omitempty"`
	FinishedAt  *time.Time      `json:"finished_at,omitempty"`
	Error       string          `json:"error,omitempty"`  // of the last failed attempt
	Output      json.RawMessage `json:"output,omitempty"` // what the job reported
}

// Finished reports whether the job will not run again.
func (s JobStatus) Finished() bool { return s.FinishedAt != nil }
