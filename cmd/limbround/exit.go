package main

import (
	"context"
	"errors"

	"limbround/scheduler"
)

// The exit codes, documented in README.md.
const (
	exitOK          = 0
	exitInternal    = 1
	exitBadUsage    = 2
	exitBadInput    = 3
	exitInfeasible  = 4
	exitUnavailable = 5
)

// exitCode is the one map from a kind of failure to an exit code.
func exitCode(err error) int {
	if errors.Is(err, context.Canceled) {
		return 128 + 2 // as a shell reports an interrupted command
	}
	switch scheduler.KindOf(err) {
	case "":
		return exitOK
	case scheduler.Invalid, scheduler.NotFound, scheduler.Clash, scheduler.Stale:
		return exitBadInput
	case scheduler.Infeasible:
		return exitInfeasible
	case scheduler.Unavailable, scheduler.Unauthorized, scheduler.Forbidden:
		return exitUnavailable
	default:
		return exitInternal
	}
}
