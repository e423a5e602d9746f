package jobs

import (
	"errors"

	"limbround/scheduler"
)

// refuse fills the reply of a record that was not taken.
func (r *RecordReply) refuse(kind scheduler.Kind, err error) {
	r.Kind, r.Error = kind, err.Error()
	var e *scheduler.Error
	if errors.As(err, &e) {
		r.Error, r.Hint, r.Faults = e.Message, e.Hint, e.Fields
	}
}
