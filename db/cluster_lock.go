//go:build linux

package db

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"limbround/scheduler"
)

// ownerState is what the owner of a private cluster tells the processes that
// want to attach.
type ownerState struct {
	Owner     int    `json:"owner"`     // process that holds the lock
	Server    int    `json:"server"`    // its postgres
	Nonce     string `json:"nonce"`     // tells two servers with the same numbers apart
	Socket    string `json:"socket"`    // directory of the unix socket
	Port      int    `json:"port"`      // part of the socket's name
	Temporary bool   `json:"temporary"` // the directory is short-lived, made because the usual path is too long
}

func (s ownerState) url(database string) string {
	q := url.Values{"host": {s.Socket}, "port": {strconv.Itoa(s.Port)}, "user": {clusterRole}}
	return (&url.URL{Scheme: "postgres", Path: "/" + database, RawQuery: q.Encode()}).String()
}

// write replaces owner.json in one step, so that nobody reads half of it.
func (s ownerState) write(home string) error {
	b, err := json.Marshal(s)
	if err != nil {
		return fmt.Errorf("encode owner: %w", err)
	}
	tmp := filepath.Join(home, "owner.json.new")
	if err := os.WriteFile(tmp, b, 0o644); err != nil {
		return noData(home, err)
	}
	if err := os.Rename(tmp, filepath.Join(home, "owner.json")); err != nil {
		return noData(home, err)
	}
	return nil
}

func readOwner(home string) (ownerState, error) {
	var s ownerState
	b, err := os.ReadFile(filepath.Join(home, "owner.json"))
	if err == nil {
		err = json.Unmarshal(b, &s)
	}
	return s, err
}

func removeOwner(home string) { _ = os.Remove(filepath.Join(home, "owner.json")) }

// takeLock takes the owner's lock; it answers nil without an error when another
// process holds it. The kernel frees it when the process ends, however it ends.
func takeLock(home string) (*os.File, error) {
	f, err := os.OpenFile(filepath.Join(home, "owner.lock"), os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		_ = f.Close()
		if errors.Is(err, syscall.EWOULDBLOCK) {
			return nil, nil
		}
		return nil, fmt.Errorf("lock: %w", err)
	}
	return f, nil
}

// lockHeld reports whether an owner still holds the lock. The probe is a shared
// lock, so that several watchers do not mistake each other for the owner.
func lockHeld(home string) bool {
	f, err := os.Open(filepath.Join(home, "owner.lock"))
	if err != nil {
		return false
	}
	defer f.Close()
	return syscall.Flock(int(f.Fd()), syscall.LOCK_SH|syscall.LOCK_NB) != nil
}

// awaitOrphan waits until no server runs on pgdata. A server of ours whose
// owner is dead is shutting down; anything else is refused at once.
func awaitOrphan(ctx context.Context, pgdata string) error {
	late := time.NewTimer(orphanWait)
	defer late.Stop()
	for {
		pid := liveServer(pgdata)
		if pid == 0 {
			return nil
		}
		if !ours(pid) && !ended(pid) {
			return &scheduler.Error{
				Kind:    scheduler.Unavailable,
				Message: fmt.Sprintf("%s is in use by a PostgreSQL server (process %d) that limbround did not start", pgdata, pid),
				Hint:    "stop that server, or set DATABASE_URL to use it",
			}
		}
		if again, err := pause(ctx, 50*time.Millisecond, late); err != nil {
			return err
		} else if !again {
			return &scheduler.Error{
				Kind:    scheduler.Unavailable,
				Message: fmt.Sprintf("the database server (process %d) of an earlier limbround has not ended", pid),
				Hint:    fmt.Sprintf("wait, or stop it with: kill -INT %d", pid),
			}
		}
	}
}

// liveServer is the process that serves pgdata, 0 when none does. A stale pid
// file, whose number another program may have been given since, does not count.
func liveServer(pgdata string) int {
	b, err := os.ReadFile(filepath.Join(pgdata, "postmaster.pid"))
	if err != nil {
		return 0
	}
	first, _, _ := strings.Cut(string(b), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(first))
	if err != nil || pid <= 0 {
		return 0
	}
	if err := syscall.Kill(pid, 0); errors.Is(err, syscall.ESRCH) {
		return 0
	}
	cwd, err := os.Readlink(filepath.Join("/proc", strconv.Itoa(pid), "cwd"))
	if err != nil { // another user's process, or one that ended a moment ago: postgres would refuse to start
		return pid
	}
	real, err := filepath.EvalSymlinks(pgdata)
	if err != nil || cwd != real {
		return 0
	}
	return pid
}

// ours reports whether limbround started the server: its command line says so.
func ours(pid int) bool {
	b, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "cmdline"))
	return err == nil && strings.Contains(string(b), "cluster_name="+clusterLabel)
}

// ended reports whether the process is over but for the notice that its parent
// takes of it. Killed together with its owner, a server stays so until init comes round.
func ended(pid int) bool {
	b, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "cmdline"))
	return err == nil && len(b) == 0 || errors.Is(err, fs.ErrNotExist)
}
