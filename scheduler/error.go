package scheduler

import (
	"errors"
	"fmt"
)

// Kind says what sort of failure an Error is. Package api maps it to an HTTP
// status and cmd to an exit code, each in one place.
type Kind string

// The kinds of failure.
const (
	Internal     Kind = "internal"     // a defect or an unknown cause; its text stays in the log
	Invalid      Kind = "invalid"      // the input breaks a rule
	NotFound     Kind = "not_found"    // nothing has that name
	Clash        Kind = "clash"        // the thing exists or is in a state that forbids it
	Stale        Kind = "stale"        // somebody changed it since it was read
	Infeasible   Kind = "infeasible"   // no plan meets the constraints
	Unavailable  Kind = "unavailable"  // the database or another part is not there
	Unauthorized Kind = "unauthorized" // no or wrong credentials
	Forbidden    Kind = "forbidden"    // known person, not allowed
)

// Error is the one error type of the project: a kind, a sentence for the
// person, and the cause.
type Error struct {
	Kind    Kind
	Message string  // for the person; states field, value and rule
	Hint    string  // what to do next, may be empty
	Fields  []Fault // single faults of an input, may be empty
	Err     error   // cause, may be nil
}

// Fault is one broken rule in an input.
type Fault struct {
	Line  int    `json:"line,omitempty"`  // line in the file, 0 when there is none
	Field string `json:"field,omitempty"` // name of the field or column
	Value string `json:"value,omitempty"` // what was found
	Rule  string `json:"rule"`            // the rule it breaks, as a sentence
}

func (f Fault) String() string {
	s := ""
	if f.Line > 0 {
		s = fmt.Sprintf("line %d: ", f.Line)
	}
	if f.Field != "" {
		s += fmt.Sprintf("%s %q: ", f.Field, f.Value)
	}
	return s + f.Rule
}

func (e *Error) Error() string {
	if e.Err != nil {
		return e.Message + ": " + e.Err.Error()
	}
	return e.Message
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// Errorf makes an Error of the given kind from a formatted sentence.
func Errorf(k Kind, format string, args ...any) *Error {
	return &Error{Kind: k, Message: fmt.Sprintf(format, args...)}
}

// Wrap gives a cause a kind and an operation ("open database").
func Wrap(k Kind, op string, err error) *Error { return &Error{Kind: k, Message: op, Err: err} }

// KindOf returns the kind of the outermost Error in err's chain, Internal when
// there is none, and the empty kind for nil.
func KindOf(err error) Kind {
	if err == nil {
		return ""
	}
	var e *Error
	if errors.As(err, &e) {
		return e.Kind
	}
	return Internal
}
