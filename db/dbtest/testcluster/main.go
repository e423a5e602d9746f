// Command testcluster runs a command, or waits, with a throw-away database
// cluster whose URL stands in LIMBROUND_TEST_DATABASE_URL.
//
//	testcluster -- go test ./...     run, then stop the cluster; exits as the command does
//	testcluster -hold FILE           write the URL to FILE, stay until SIGTERM
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"syscall"

	"limbround/db"
	"limbround/db/dbtest"
)

func main() {
	hold := flag.String("hold", "", "write the cluster's URL to this file and stay until SIGTERM")
	flag.Parse()
	if (*hold == "") == (flag.NArg() == 0) {
		fmt.Fprintln(os.Stderr, "usage: testcluster -- COMMAND ARGS...  |  testcluster -hold FILE")
		os.Exit(2)
	}
	ctx, cancel := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer cancel()
	code, err := run(ctx, *hold, flag.Args())
	if err != nil {
		fmt.Fprintln(os.Stderr, "testcluster:", err)
	}
	os.Exit(code)
}

// home is the directory under which the cluster is made: memory where there is room for
// it, since a clone for each test is several hundred small files, else /tmp. Not
// TMPDIR: the server's user must reach it, and the socket's path has a limit.
func home() string {
	const memory, room = "/dev/shm", 3 << 30
	var fs syscall.Statfs_t
	if err := syscall.Statfs(memory, &fs); err == nil && uint64(fs.Bsize)*fs.Bavail >= room {
		return memory
	}
	return "/tmp"
}

// run answers the exit code: the command's own, or 1.
func run(ctx context.Context, hold string, args []string) (code int, err error) {
	dir, err := os.MkdirTemp(home(), "limbround-test-")
	if err != nil {
		return 1, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	if err := os.Chmod(dir, 0o755); err != nil {
		return 1, err
	}
	d, err := db.Open(ctx, db.Config{DataDir: dir, ThrowAway: true, MaxConns: 1})
	if err != nil {
		return 1, err
	}
	defer func() { err = errors.Join(err, d.Close()) }()

	if hold != "" {
		if err := os.WriteFile(hold, []byte(d.URL()), 0o644); err != nil {
			return 1, err
		}
		defer os.Remove(hold)
		select {
		case <-ctx.Done():
			return 0, nil
		case <-d.Gone():
			return 1, errors.New("the test cluster's server ended")
		}
	}
	cmd := exec.CommandContext(ctx, args[0], args[1:]...)
	cmd.Cancel = func() error { return cmd.Process.Signal(syscall.SIGTERM) }
	cmd.Env = append(os.Environ(), dbtest.Env+"="+d.URL())
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	err = cmd.Run()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return max(1, exit.ExitCode()), nil
	}
	if err != nil {
		return 1, fmt.Errorf("run %s: %w", args[0], err)
	}
	return 0, nil
}
