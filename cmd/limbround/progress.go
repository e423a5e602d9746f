package main

import (
	"fmt"
	"os"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
)

// progress returns a function that shows how far a long act has come: a bar
// on a terminal, a plain line every few seconds otherwise, nothing with --json.
// total may grow or be 0 for unknown.
func (a *app) progress(noun string) func(done, total int64) {
	if a.cli.JSON {
		return nil
	}
	if f, ok := a.err.(*os.File); ok && isTerminal(f) {
		return bar(f, noun)
	}
	return a.lines(noun)
}

func isTerminal(f *os.File) bool {
	st, err := f.Stat()
	return err == nil && st.Mode()&os.ModeCharDevice != 0
}

func bar(f *os.File, noun string) func(done, total int64) {
	b := progressbar.NewOptions64(-1, progressbar.OptionSetWriter(f), progressbar.OptionSetDescription(noun),
		progressbar.OptionShowCount(), progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish())
	var mu sync.Mutex
	return func(done, total int64) {
		mu.Lock()
		defer mu.Unlock()
		if total > 0 && b.GetMax64() != total {
			b.ChangeMax64(total)
		}
		_ = b.Set64(done) // a bar that cannot be drawn must not stop the work
	}
}

// everySo is the time between two plain lines.
const everySo = 5 * time.Second

func (a *app) lines(noun string) func(done, total int64) {
	var mu sync.Mutex
	last := a.now()
	return func(done, total int64) {
		mu.Lock()
		defer mu.Unlock()
		now := a.now()
		if now.Sub(last) < everySo {
			return
		}
		last = now
		if total > 0 {
			fmt.Fprintf(a.err, "%d of %d %s\n", done, total, noun)
		} else {
			fmt.Fprintf(a.err, "%d %s\n", done, noun)
		}
	}
}
