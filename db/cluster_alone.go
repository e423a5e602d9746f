//go:build linux

package db

import (
	"context"
	"strings"
	"time"
)

// startAlone starts the server once nothing is left of the one before. When a
// server is killed, those of its processes that are in the midst of a statement
// see it only at the statement's end; until then postgres refuses to start
// another one on the same data.
func startAlone(ctx context.Context, start func() (*server, error)) (*server, error) {
	late := time.NewTimer(orphanWait)
	defer late.Stop()
	for {
		s, err := start()
		if err == nil || !strings.Contains(err.Error(), "pre-existing shared memory block") {
			return s, err
		}
		again, stop := pause(ctx, 200*time.Millisecond, late)
		if stop != nil {
			return nil, stop
		}
		if !again {
			return nil, err
		}
	}
}
