//go:build linux

package db

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"limbround/scheduler"
)

// server is the postgres process that this process started.
type server struct {
	pid  int
	done chan struct{} // closed when it has ended
	err  error         // how it ended; read after done
	cmd  *exec.Cmd
}

const (
	readyWait = 5 * time.Minute // crash recovery of a large database takes its time
	stopWait  = 20 * time.Second
	logLimit  = 16 << 20 // server.log is set aside at this size
)

// startServer runs postgres in the foreground and waits until it takes connections.
func startServer(ctx context.Context, bin binaries, who sysUser, pgdata, socket string, cfg Config) (*server, error) {
	logPath := filepath.Join(cfg.DataDir, "server.log")
	if fi, err := os.Stat(logPath); err == nil && fi.Size() > logLimit {
		if err := os.Rename(logPath, logPath+".1"); err != nil {
			return nil, noData(cfg.DataDir, err)
		}
	}
	log, err := os.OpenFile(logPath, os.O_CREATE|os.O_APPEND|os.O_RDWR, 0o640)
	if err != nil {
		return nil, noData(cfg.DataDir, err)
	}
	defer log.Close()
	began, err := log.Seek(0, 2)
	if err != nil {
		return nil, noData(cfg.DataDir, err)
	}

	listen := ""
	if cfg.AnalystPort > 0 {
		listen = "127.0.0.1"
	}
	args := []string{"-D", pgdata}
	for _, v := range []string{
		"cluster_name=" + clusterLabel, "listen_addresses=" + listen, "port=" + strconv.Itoa(cfg.port()),
		"unix_socket_directories=" + quoteList(socket), "logging_collector=off", "log_destination=stderr",
		// Who was killed in a long statement holds its locks no longer than that.
		"client_connection_check_interval=1s",
	} {
		args = append(args, "-c", v)
	}
	if cfg.ThrowAway {
		args = append(args, "-c", "fsync=off", "-c", "synchronous_commit=off", "-c", "full_page_writes=off", "-c", "autovacuum=off",
			"-c", "wal_level=minimal", "-c", "max_wal_senders=0", "-c", "max_wal_size=512MB")
	}
	// The server outlives ctx, which only bounds its start; stop ends it.
	cmd := exec.CommandContext(context.WithoutCancel(ctx), bin.path("postgres"), args...)
	cmd.SysProcAttr, cmd.Dir = who.attr(), "/"
	cmd.Stdout, cmd.Stderr = log, log

	s := &server{done: make(chan struct{}), cmd: cmd}
	started := make(chan error)
	go s.run(started)
	if err := <-started; err != nil {
		return nil, fmt.Errorf("start postgres: %w", err)
	}
	if err := s.awaitReady(ctx, ownerState{Socket: socket, Port: cfg.port()}); err != nil {
		stopErr := s.stop()
		said := make([]byte, 64<<10)
		n, _ := log.ReadAt(said, began)
		if scheduler.KindOf(err) == scheduler.Unavailable {
			return nil, errors.Join(err, stopErr)
		}
		return nil, startFailure("postgres", string(said[:n]), err)
	}
	return s, nil
}

// run owns the child's life on a thread of its own: the kernel sends the
// child its death signal when the thread that forked it ends, so that thread
// must last exactly as long as the child, and end with this process.
func (s *server) run(started chan<- error) {
	runtime.LockOSThread()
	if err := s.cmd.Start(); err != nil {
		started <- err
		return
	}
	s.pid = s.cmd.Process.Pid
	started <- nil
	s.err = s.cmd.Wait()
	close(s.done)
}

// onLockedThread keeps fn on one thread, for children with a death signal.
func onLockedThread(fn func() error) error {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	return fn()
}

func (s *server) awaitReady(ctx context.Context, at ownerState) error {
	late := time.NewTimer(readyWait)
	defer late.Stop()
	for wait := 5 * time.Millisecond; ; wait = min(2*wait, 200*time.Millisecond) {
		err := answers(ctx, at.url("postgres"))
		var pe *pgconn.PgError
		switch {
		case err == nil:
			return nil
		case errors.As(err, &pe) && pe.Code != "57P03": // it answers, and refuses
			return err
		}
		select {
		case <-ctx.Done():
			return failed("wait for database", ctx.Err())
		case <-s.done:
			return fmt.Errorf("ended at once: %w", s.err)
		case <-late.C:
			return fmt.Errorf("not ready after %s: %w", readyWait, err)
		case <-time.After(wait):
		}
	}
}

// stop ends the server: fast shutdown, then an immediate one if it hangs.
func (s *server) stop() error {
	for _, sig := range []syscall.Signal{syscall.SIGINT, syscall.SIGQUIT} {
		if err := s.cmd.Process.Signal(sig); err != nil && !errors.Is(err, os.ErrProcessDone) {
			return fmt.Errorf("stop postgres: %w", err)
		}
		select {
		case <-s.done:
			return nil
		case <-time.After(stopWait):
		}
	}
	return fmt.Errorf("stop postgres: process %d does not end", s.pid)
}

func answers(ctx context.Context, url string) error {
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	c, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	return c.Close(ctx)
}

const (
	databaseThereSQL = `SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1)`
	makeDatabaseDDL  = `CREATE DATABASE ` + clusterRole
)

// makeDatabase creates the one database of a fresh private cluster.
func makeDatabase(ctx context.Context, url string) error {
	c, err := pgx.Connect(ctx, url)
	if err != nil {
		return failed("reach private database", err)
	}
	defer c.Close(ctx)
	var there bool
	if err := c.QueryRow(ctx, databaseThereSQL, clusterRole).Scan(&there); err != nil {
		return failed("look for database", err)
	}
	if !there {
		_, err = c.Exec(ctx, makeDatabaseDDL)
	}
	return failed("make database", err)
}

// socketLimit is the longest path of a unix socket on Linux, without its final zero byte.
const socketLimit = 107

// makeSocketDir answers the directory of the socket: beside the data, or, when
// that path is too long for the kernel, a private short one.
func makeSocketDir(home string, who sysUser, runtimeDir string) (dir string, temporary bool, err error) {
	fits := func(dir string) bool { return len(dir)+len("/.s.PGSQL.65535.lock") <= socketLimit }
	dir = filepath.Join(home, "socket")
	if fits(dir) {
		return dir, false, who.mkdir(dir)
	}
	for _, base := range []string{runtimeDir, "/tmp"} {
		if base == "" || who.drop && base == runtimeDir || !fits(filepath.Join(base, "limbround-0123456789")) {
			continue
		}
		if dir, err = os.MkdirTemp(base, "limbround-"); err == nil {
			return dir, true, who.give(dir)
		}
	}
	return "", false, fmt.Errorf("make socket directory: %w", err)
}

// port names the socket, and is listened on only for an analyst.
func (cfg Config) port() int {
	if cfg.AnalystPort > 0 {
		return cfg.AnalystPort
	}
	return clusterPort
}

// quoteList writes one element of a PostgreSQL list setting.
func quoteList(s string) string { return `"` + strings.ReplaceAll(s, `"`, `""`) + `"` }
