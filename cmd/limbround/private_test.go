package main

import (
	"bufio"
	"context"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// process is the program as a process of its own, on a private data directory.
type process struct {
	t      *testing.T
	cmd    *exec.Cmd
	lines  chan string
	errOut strings.Builder
	done   chan int
}

// privateDir is a data directory that the server's user can reach; t.TempDir is not.
func privateDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/tmp", "limbround-e2e-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(dir, "data")
}

func start(t *testing.T, dir string, args ...string) *process {
	t.Helper()
	p := &process{t: t, cmd: exec.CommandContext(context.Background(), os.Args[0], args...), lines: make(chan string, 100), done: make(chan int, 1)}
	p.cmd.Env = append(os.Environ(), asProgram+"=1", "DATABASE_URL=", "DATABASE_DIRECT_URL=", "LIMBROUND_DATA="+dir)
	p.cmd.Stderr = &p.errOut
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = p.cmd.Process.Kill() })
	go func() {
		sc := bufio.NewScanner(out)
		for sc.Scan() {
			p.lines <- sc.Text()
		}
		_ = p.cmd.Wait() // the exit code below says how it ended
		p.done <- p.cmd.ProcessState.ExitCode()
	}()
	return p
}

// says waits for a line that has a word in it.
func (p *process) says(word string) string {
	p.t.Helper()
	late := time.After(60 * time.Second)
	for {
		select {
		case line := <-p.lines:
			if strings.Contains(line, word) {
				return line
			}
		case code := <-p.done:
			p.t.Fatalf("%v ended with exit %d before it said %q: %s", p.cmd.Args, code, word, p.errOut.String())
		case <-late:
			p.t.Fatalf("%v does not say %q: %s", p.cmd.Args, word, p.errOut.String())
		}
	}
}

// ends waits for the process to end with a code.
func (p *process) ends(want int) {
	p.t.Helper()
	select {
	case code := <-p.done:
		if code != want {
			p.t.Fatalf("%v ended with exit %d, want %d: %s", p.cmd.Args, code, want, p.errOut.String())
		}
	case <-time.After(60 * time.Second):
		p.t.Fatalf("%v does not end", p.cmd.Args)
	}
}

func (p *process) healthy() {
	p.t.Helper()
	base := strings.TrimSuffix(regexp.MustCompile(`http://[^ ]+`).FindString(p.says("Serving on")), "/")
	res, err := http.Get(base + "/readyz") //nolint:noctx // a test's own server
	if err != nil {
		p.t.Fatal(err)
	}
	_ = res.Body.Close()
	if res.StatusCode != http.StatusOK {
		p.t.Fatalf("%s/readyz: %s", base, res.Status)
	}
}

// TestTwoProcessesOnOneDataDirectory: the first owns the private cluster, the
// second attaches to it. When the owner stops, so does the other, with 5. After
// a hard kill of the owner the directory is served again, and nothing is lost.
func TestTwoProcessesOnOneDataDirectory(t *testing.T) {
	dir := privateDir(t)
	serve := []string{"serve", "--addr", "127.0.0.1:0"}
	owner := start(t, dir, serve...)
	owner.healthy()
	start(t, dir, "settings", "--name", "Larkin").ends(exitOK)
	second := start(t, dir, serve...)
	second.healthy()
	worker := start(t, dir, "worker")
	worker.says("Working off")

	if err := owner.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	owner.ends(exitOK)
	second.ends(exitUnavailable)
	worker.ends(exitUnavailable)
	if !strings.Contains(second.errOut.String(), "has stopped") {
		t.Errorf("the second process says: %s", second.errOut.String())
	}

	again := start(t, dir, serve...)
	again.healthy()
	if err := again.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	<-again.done
	last := start(t, dir, serve...)
	last.healthy()
	show := start(t, dir, "settings")
	if line := show.says("name"); !strings.Contains(line, "Larkin") {
		t.Errorf("after a hard kill the city is %q", line)
	}
	show.ends(exitOK)
	if err := last.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	last.ends(exitOK)
}
