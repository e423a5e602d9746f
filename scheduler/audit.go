package scheduler

import (
	"encoding/json"
	"time"
)

// AuditEntry is one line of the audit: who did what to which thing.
type AuditEntry struct {
	ID     int64           `json:"id"`
	At     time.Time       `json:"at"`
	Actor  string          `json:"actor"`
	Verb   string          `json:"verb"`
	Noun   string          `json:"noun"`
	Key    string          `json:"key"`
	Detail json.RawMessage `json:"detail"`
}
