//go:build linux

package db

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync/atomic"
	"testing"
	"time"
)

// A server killed together with its owner stays in the process table until init
// takes notice, and postgres refuses to start meanwhile: we wait for it.
func TestAnEndedServerIsAwaited(t *testing.T) {
	pgdata := t.TempDir()
	gone := exec.CommandContext(t.Context(), "true")
	gone.Dir = pgdata // as a server's: it is known by it until the kernel has taken all of it back
	if err := gone.Start(); err != nil {
		t.Fatal(err)
	}
	pid := gone.Process.Pid
	if err := os.WriteFile(filepath.Join(pgdata, "postmaster.pid"), []byte(strconv.Itoa(pid)+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for !ended(pid) {
		time.Sleep(time.Millisecond)
	}
	if got := liveServer(pgdata); got != pid {
		t.Fatalf("the server is %d, want %d, which is not yet taken notice of", got, pid)
	}
	var noticing atomic.Bool // from before notice is taken: what follows it may be seen first
	noticed := make(chan error, 1)
	go func() {
		time.Sleep(100 * time.Millisecond)
		noticing.Store(true)
		noticed <- gone.Wait()
	}()
	if err := awaitOrphan(t.Context(), pgdata); err != nil {
		t.Error(err)
	}
	if !noticing.Load() {
		t.Error("it was not waited for")
	}
	if err := <-noticed; err != nil {
		t.Error(err)
	}
}

// What is left of a killed server is waited for; any other failure is not.
func TestALingeringServerIsAwaited(t *testing.T) {
	lingers := startFailure("postgres", "FATAL:  pre-existing shared memory block (key 1, ID 2) is still in use", os.ErrProcessDone)
	for _, tc := range []struct {
		name  string
		fails []error
		want  int // starts
		good  bool
	}{
		{"alone", nil, 1, true},
		{"twice in the way", []error{lingers, lingers}, 3, true},
		{"another failure", []error{os.ErrPermission, nil}, 1, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			n := 0
			s, err := startAlone(t.Context(), func() (*server, error) {
				n++
				if n <= len(tc.fails) {
					return nil, tc.fails[n-1]
				}
				return &server{}, nil
			})
			if n != tc.want || (err == nil) != tc.good || (s != nil) != tc.good {
				t.Errorf("%d starts, server %v, %v", n, s, err)
			}
		})
	}
}
