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

// MayApply is nil for a batch that was staged, checked and held, and
// otherwise a Clash that says what it is.
func (b *Batch) MayApply() error {
	switch {
	case b.State != "staged":
		return Errorf(Clash, "batch %d is %s", b.ID, b.State)
	case b.Counts.Accepted == 0:
		e := Errorf(Clash, "batch %d is still being read and checked, or its import was broken off", b.ID)
		e.Hint = "only a batch of import --hold waits to be applied"
		return e
	}
	return nil
}
