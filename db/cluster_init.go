//go:build linux

package db

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"limbround/scheduler"
)

// initData makes the data directory if it is not there, and writes who may
// connect. initdb works in a directory of its own that is renamed when it
// is complete: a power cut in between leaves no half-made pgdata.
func initData(ctx context.Context, bin binaries, who sysUser, pgdata string, cfg Config) error {
	if _, err := os.Stat(filepath.Join(pgdata, "PG_VERSION")); err != nil {
		if err := initdb(ctx, bin, who, pgdata, cfg); err != nil {
			return err
		}
	}
	hba := "local all all peer map=limbround\n"
	if cfg.AnalystPort > 0 {
		hba += "host " + clusterRole + " +" + readerRole + " 127.0.0.1/32 scram-sha-256\n"
	}
	files := map[string]string{
		"pg_hba.conf":   "# written by limbround at every start\n" + hba,
		"pg_ident.conf": "# written by limbround at every start\nlimbround " + strconv.Quote(who.self) + " " + clusterRole + "\n",
	}
	for name, text := range files {
		path := filepath.Join(pgdata, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			return noData(pgdata, err)
		}
		if err := who.give(path); err != nil {
			return noData(pgdata, err)
		}
	}
	return nil
}

// ownSettings are appended to postgresql.conf once; the city may change them there.
const ownSettings = `
# Added by limbround when it made this cluster. Edit to suit the machine.
shared_buffers = 256MB
max_wal_size = 4GB
jit = off
timezone = 'UTC'
log_timezone = 'UTC'
max_connections = 200
random_page_cost = 1.1
`

func initdb(ctx context.Context, bin binaries, who sysUser, pgdata string, cfg Config) error {
	tmp, err := os.MkdirTemp(filepath.Dir(pgdata), "initdb-")
	if err != nil {
		return noData(pgdata, err)
	}
	defer os.RemoveAll(tmp) // ours of a moment ago: gone already when it became pgdata
	if err := who.give(tmp); err != nil {
		return noData(pgdata, err)
	}
	args := []string{"-D", tmp, "-U", clusterRole, "-E", "UTF8", "--locale=C.UTF-8", "--data-checksums", "--auth=reject"}
	if cfg.ThrowAway {
		args = append(args, "--no-sync")
	}
	cmd := exec.CommandContext(ctx, bin.path("initdb"), args...)
	cmd.SysProcAttr, cmd.Dir = who.attr(), "/"
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := onLockedThread(cmd.Run); err != nil {
		return startFailure("initdb", out.String(), err)
	}
	f, err := os.OpenFile(filepath.Join(tmp, "postgresql.conf"), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return noData(pgdata, err)
	}
	_, err = f.WriteString(ownSettings)
	if err2 := f.Close(); err == nil {
		err = err2
	}
	if err == nil {
		err = os.Rename(tmp, pgdata) // replaces pgdata only when it is an empty directory
	}
	if err != nil {
		return noData(pgdata, err)
	}
	return nil
}

// startFailure explains why a PostgreSQL program ended, from what it said.
func startFailure(program, said string, err error) error {
	e := &scheduler.Error{
		Kind: scheduler.Unavailable, Message: program + " failed",
		Err: fmt.Errorf("%w: %s", err, lastLines(said, 6)),
	}
	switch {
	case strings.Contains(said, "No space left on device"), strings.Contains(said, "Disk quota exceeded"):
		e.Message, e.Hint = program+" failed: the disk is full", "free space on the data directory's disk"
	case strings.Contains(said, "could not create shared memory"), strings.Contains(said, "Cannot allocate memory"):
		e.Hint = "there is not enough memory; lower shared_buffers in postgresql.conf"
	case strings.Contains(said, "initialized by PostgreSQL version"):
		e.Hint = "install the PostgreSQL version that made the data, or move it by dump and restore"
	case strings.Contains(said, "wrong ownership"):
		e.Hint = "the data belongs to another system user; run limbround as that user, or give the directory to this one"
	case strings.Contains(said, "pre-existing shared memory block"):
		e.Hint = "statements of a server that was killed are still running; wait for their end, or end those processes"
	case strings.Contains(said, "could not bind"), strings.Contains(said, "Is another postmaster already running"):
		e.Hint = "the port or socket is in use by another server"
	}
	return e
}

func lastLines(s string, n int) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	return strings.Join(lines[max(0, len(lines)-n):], " | ")
}
