package api

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"limbround/scheduler"
)

// Everything that two people can edit carries a revision, which is its entity
// tag. A change must say in If-Match which revision it was made from.

// etag is the entity tag of a revision.
func etag(revision int) string { return `"` + strconv.Itoa(revision) + `"` }

// IfMatch is embedded in the input of a change.
type IfMatch struct {
	Match string `header:"If-Match" doc:"Entity tag of the revision that the change was made from; without it the answer is 428" example:"\"3\""`
}

// revision reads the tag. A change without one is refused (RFC 6585, section 3);
// a weak or malformed tag is Invalid: it names no revision.
func (m IfMatch) revision() (int, error) {
	if m.Match == "" {
		return 0, plainProblem(http.StatusPreconditionRequired, "If-Match is missing: say which revision the change was made from, with the entity tag that came with it.")
	}
	n, err := strconv.Atoi(strings.Trim(m.Match, `"`))
	if err != nil || etag(n) != m.Match {
		return 0, &scheduler.Error{
			Kind: scheduler.Invalid, Message: fmt.Sprintf("If-Match %s: want one entity tag as it was sent, such as \"3\"", m.Match),
		}
	}
	return n, nil
}
