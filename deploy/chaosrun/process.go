package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"syscall"
	"time"
)

// process is a child: a server, a worker or a command at work.
type process struct {
	name string
	cmd  *exec.Cmd
	out  bytes.Buffer // read after done
	err  bytes.Buffer
	done chan struct{}
}

// start runs a child. Its standard error goes to log too, when that is not nil.
func start(name, bin string, args, env []string, in io.Reader, log io.Writer) (*process, error) {
	// Children end by signals: some are to outlive whatever was asked for.
	p := &process{name: name, cmd: exec.CommandContext(context.Background(), bin, args...), done: make(chan struct{})}
	p.cmd.Env, p.cmd.Stdin, p.cmd.Stdout, p.cmd.Stderr = env, in, &p.out, &p.err
	if log != nil {
		p.cmd.Stdout, p.cmd.Stderr = log, log
	}
	// A Ctrl-C must reach only this program, which then ends its children.
	p.cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	if err := p.cmd.Start(); err != nil {
		return nil, fmt.Errorf("start %s: %w", name, err)
	}
	go func() {
		_ = p.cmd.Wait() // how it ended is in ProcessState
		close(p.done)
	}()
	return p, nil
}

func (p *process) running() bool {
	if p == nil {
		return false
	}
	select {
	case <-p.done:
		return false
	default:
		return true
	}
}

func (p *process) kill() {
	if p.running() {
		_ = p.cmd.Process.Kill()
	}
}

// endsIn waits for the end of the child and reports whether it came in time.
func (p *process) endsIn(d time.Duration) bool {
	select {
	case <-p.done:
		return true
	case <-time.After(d):
		return false
	}
}

// exit is the exit code of an ended child, or -1 when a signal ended it.
func (p *process) exit() int { return p.cmd.ProcessState.ExitCode() }

// failure is what an ended child says about its failure, nil for exit code 0.
func (p *process) failure() error {
	if p.exit() == 0 {
		return nil
	}
	return &failed{code: p.exit(), text: strings.TrimSpace(p.err.String())}
}

// failed is a command that did not succeed.
type failed struct {
	code int // -1 for a killed one
	text string
}

func (f *failed) Error() string { return fmt.Sprintf("exit code %d: %s", f.code, f.text) }
