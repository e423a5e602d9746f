//go:build linux

package db_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"limbround/db"
)

// childEnv makes the test program a second limbround process: it opens the
// private cluster in the named directory, reports, and holds it until its
// standard input ends or the cluster is gone.
const childEnv = "LIMBROUND_TEST_CLUSTER_CHILD"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childEnv); dir != "" {
		os.Exit(holdCluster(dir))
	}
	os.Exit(m.Run())
}

func holdCluster(dir string) int {
	d, err := db.Open(context.Background(), db.Config{DataDir: dir, ThrowAway: true})
	if err != nil {
		fmt.Println("failed", err)
		return 1
	}
	fmt.Println("open", d.URL())
	closed := make(chan struct{})
	go func() { _, _ = io.Copy(io.Discard, os.Stdin); close(closed) }()
	select {
	case <-closed:
		if err := d.Close(); err != nil {
			fmt.Println("failed", err)
			return 1
		}
		fmt.Println("closed")
		return 0
	case <-d.Gone():
		fmt.Println("gone")
		return 5
	}
}

// process is a second limbround process.
type process struct {
	cmd *exec.Cmd
	in  io.Closer
	out *bufio.Reader
}

func startProcess(t *testing.T, dir string) *process {
	t.Helper()
	p := &process{cmd: exec.CommandContext(context.Background(), os.Args[0])}
	p.cmd.Env = append(os.Environ(), childEnv+"="+dir)
	p.cmd.Stderr = os.Stderr
	in, err1 := p.cmd.StdinPipe()
	out, err2 := p.cmd.StdoutPipe()
	if err := errors.Join(err1, err2, p.cmd.Start()); err != nil {
		t.Fatal(err)
	}
	p.in, p.out = in, bufio.NewReader(out)
	t.Cleanup(func() { _ = p.cmd.Process.Kill(); _ = p.cmd.Wait() })
	return p
}

func (p *process) expect(t *testing.T, word string) {
	t.Helper()
	line, err := p.out.ReadString('\n')
	if err != nil || !strings.HasPrefix(line, word) {
		t.Fatalf("process said %q (%v), want %q", line, err, word)
	}
}

// clusterDir is a directory that the server's user can reach; t.TempDir is not.
func clusterDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/tmp", "limbround-cluster-")
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
	return dir
}

func query(t *testing.T, d *db.DB) {
	t.Helper()
	if err := d.Ping(t.Context()); err != nil {
		t.Fatal(err)
	}
}

func serverPid(t *testing.T, dir string) int {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, "pgdata", "postmaster.pid"))
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(b), "\n")
	pid, err := strconv.Atoi(first)
	if err != nil {
		t.Fatal(err)
	}
	return pid
}

func waitGone(t *testing.T, d *db.DB) {
	t.Helper()
	select {
	case <-d.Gone():
	case <-time.After(20 * time.Second):
		t.Fatal("the end of the server was not noticed")
	}
}

// endsWithin reports whether a process that is not our child ends in time. One that
// nobody has buried yet (a zombie) has ended: it has no program any more.
func endsWithin(limit time.Duration, pid int) bool {
	for begin := time.Now(); time.Since(begin) < limit; time.Sleep(10 * time.Millisecond) {
		if _, err := os.Readlink(fmt.Sprintf("/proc/%d/exe", pid)); errors.Is(err, os.ErrNotExist) {
			return true
		}
	}
	return false
}

// asServerUser runs a child as the user that owns the private data.
func asServerUser(t *testing.T) *syscall.SysProcAttr {
	t.Helper()
	if os.Geteuid() != 0 {
		return &syscall.SysProcAttr{}
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		t.Fatal(err)
	}
	uid, err1 := strconv.Atoi(u.Uid)
	gid, err2 := strconv.Atoi(u.Gid)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	return &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
}
