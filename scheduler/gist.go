package scheduler

import "strings"

// Gist is the part of a reason that many visits share, for counting: what
// stands before its figures. "no time left: the best place for it exceeds the
// shift by 10 minutes" has the gist "no time left".
func Gist(reason string) string {
	before, _, _ := strings.Cut(reason, ": ")
	return before
}
