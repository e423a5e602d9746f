package main

import (
	"bytes"
	"context"
	"fmt"
	"os/exec"
	"strings"
	"syscall"
	"time"
)

// cost is what one step took.
type cost struct {
	seconds float64
	peak    int64 // bytes of the program's own process at its largest
	server  int64 // bytes that the database's processes held for themselves at their largest
}

// command runs a program to its end and answers its output with what it cost.
// w, when not nil, watches the database server meanwhile.
func command(ctx context.Context, w *watcher, name string, args ...string) (result, error) {
	cmd := exec.CommandContext(ctx, name, args...)
	var out, errOut bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errOut
	return timed(w, cmd, &out, &errOut)
}

type result struct {
	cost
	out []byte
}

func timed(w *watcher, cmd *exec.Cmd, out, errOut *bytes.Buffer) (result, error) {
	var r result
	stop := w.start()
	began := time.Now()
	err := cmd.Run()
	r.seconds = time.Since(began).Seconds()
	r.server = stop()
	if cmd.ProcessState != nil {
		if u, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
			r.peak = u.Maxrss << 10
		}
	}
	if out != nil {
		r.out = out.Bytes()
	}
	if err != nil {
		return r, fmt.Errorf("%s: %w: %s", strings.Join(cmd.Args[1:], " "), err, strings.TrimSpace(errOut.String()))
	}
	return r, nil
}

// ledger is the costs of one city, in the order in which they were measured.
type ledger struct {
	trees int
	names []string
	costs map[string]cost
	sizes map[string]int64 // bytes of the database after a step
	notes []string
}

// add keeps a cost; under a name that is there already the seconds add up.
func (l *ledger) add(name string, c cost) {
	before, there := l.costs[name]
	if !there {
		l.names = append(l.names, name)
	}
	c.seconds += before.seconds
	c.peak, c.server = max(c.peak, before.peak), max(c.server, before.server)
	l.costs[name] = c
}
