package scheduler

import "time"

// Stamp says who does a write and when. Every write carries one, and the
// append-only audit keeps it.
type Stamp struct {
	Actor string
	At    time.Time
}
