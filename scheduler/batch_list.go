package scheduler

import "time"

// Batch is one import, as the list of batches shows it.
type Batch struct {
	ID      int64       `json:"id"`
	Layer   string      `json:"layer"`
	File    string      `json:"file"`
	Actor   string      `json:"actor"`
	State   string      `json:"state"` // staged, applied or undone
	Started time.Time   `json:"started_at"`
	Applied time.Time   `json:"applied_at,omitzero"`
	Undone  time.Time   `json:"undone_at,omitzero"`
	Counts  BatchCounts `json:"counts"`
}
