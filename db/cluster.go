//go:build linux

package db

// The private cluster: a PostgreSQL server that belongs to Limbround alone.
//
// One directory holds it:
//
//	pgdata/        the data directory, made once by initdb, never deleted
//	owner.lock     held (flock) by the process that runs the server
//	owner.json     who that is and where the socket stands
//	socket/        the server's unix socket (elsewhere when its path is too long)
//	server.log     what the server says
//
// Opening it has four outcomes. The lock is free and no server runs: start one
// and own it. The lock is held by another limbround: attach over its socket and
// watch it, for when the owner stops the server stops with it. The lock is free but
// a server that limbround started still runs: its owner was killed, and the
// kernel has told the server to end (Pdeathsig), so wait for that. Any other
// server on the directory is somebody else's: refuse.
//
// Authentication is by the kernel: the socket accepts our own system user,
// mapped to the role "limbround", without a password and without TCP.

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"

	"limbround/scheduler"
)

const (
	clusterRole  = "limbround" // superuser of the private cluster and its database's name
	clusterPort  = 5432        // part of the socket's file name; nothing listens on it
	orphanWait   = 30 * time.Second
	attachWait   = 60 * time.Second
	watchEvery   = 200 * time.Millisecond
	clusterLabel = "limbround_private" // cluster_name: marks a server as started by us
)

type cluster struct {
	home  string
	state ownerState
	gone  chan struct{}

	lock   *os.File  // held by an owner, nil when attached
	server *server   // the child of an owner, nil when attached
	stop   chan bool // closed by close
	once   sync.Once
}

// openCluster starts or attaches to the private cluster in cfg.DataDir.
func openCluster(ctx context.Context, cfg Config) (*cluster, error) {
	if !filepath.IsAbs(cfg.DataDir) {
		return nil, scheduler.Errorf(scheduler.Invalid, "the data directory %q must be an absolute path", cfg.DataDir)
	}
	if err := os.MkdirAll(cfg.DataDir, 0o755); err != nil {
		return nil, noData(cfg.DataDir, err)
	}
	late := time.NewTimer(attachWait)
	defer late.Stop()
	for {
		lock, err := takeLock(cfg.DataDir)
		if err != nil {
			return nil, noData(cfg.DataDir, err)
		}
		if lock != nil {
			c, err := ownCluster(ctx, cfg, lock)
			if err != nil {
				return nil, errors.Join(err, lock.Close())
			}
			return c, nil
		}
		c, err := attachCluster(ctx, cfg.DataDir)
		if c != nil {
			return c, nil
		}
		if again, stop := pause(ctx, 50*time.Millisecond, late); stop != nil {
			return nil, stop
		} else if !again {
			return nil, &scheduler.Error{
				Kind: scheduler.Unavailable, Err: err,
				Message: "another limbround process holds " + cfg.DataDir + " but its database does not answer",
				Hint:    "look at server.log there, or stop that process",
			}
		}
	}
}

// ownCluster runs the server under the lock that this process now holds.
func ownCluster(ctx context.Context, cfg Config, lock *os.File) (*cluster, error) {
	removeOwner(cfg.DataDir) // a dead owner's: nobody may attach by it
	pgdata := filepath.Join(cfg.DataDir, "pgdata")
	if err := awaitOrphan(ctx, pgdata); err != nil {
		return nil, err
	}
	bin, err := findBinaries(cfg, pgdata)
	if err != nil {
		return nil, err
	}
	who, err := serverUser(cfg.PGUser)
	if err != nil {
		return nil, err
	}
	if err := who.canReach(cfg.DataDir); err != nil {
		return nil, err
	}
	if err := initData(ctx, bin, who, pgdata, cfg); err != nil {
		return nil, err
	}
	socket, temporary, err := makeSocketDir(cfg.DataDir, who, os.Getenv("XDG_RUNTIME_DIR"))
	if err != nil {
		return nil, noData(cfg.DataDir, err)
	}
	s, err := startAlone(ctx, func() (*server, error) { return startServer(ctx, bin, who, pgdata, socket, cfg) })
	if err != nil {
		if temporary {
			_ = os.Remove(socket)
		}
		return nil, err
	}
	c := &cluster{home: cfg.DataDir, lock: lock, server: s, gone: make(chan struct{}), stop: make(chan bool)}
	c.state = ownerState{Owner: os.Getpid(), Server: s.pid, Nonce: rand.Text(), Socket: socket, Port: cfg.port(), Temporary: temporary}
	err = c.state.write(cfg.DataDir)
	if err == nil {
		err = makeDatabase(ctx, c.state.url("postgres"))
	}
	if err != nil {
		return nil, errors.Join(err, s.stop())
	}
	go c.watchServer()
	return c, nil
}

// attachCluster joins the owner's server, or says why it cannot yet.
func attachCluster(ctx context.Context, home string) (*cluster, error) {
	state, err := readOwner(home)
	if err != nil {
		return nil, err
	}
	if err := answers(ctx, state.url(clusterRole)); err != nil {
		return nil, err
	}
	c := &cluster{home: home, state: state, gone: make(chan struct{}), stop: make(chan bool)}
	go c.watchOwner()
	return c, nil
}

func (c *cluster) url() string { return c.state.url(clusterRole) }

// watchServer closes gone when the child ends without being asked to.
func (c *cluster) watchServer() {
	select {
	case <-c.stop:
	case <-c.server.done:
		close(c.gone)
	}
}

// watchOwner closes gone when the owner has let go of the lock or another
// has taken its place.
func (c *cluster) watchOwner() {
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	for {
		select {
		case <-c.stop:
			return
		case <-tick.C:
		}
		now, err := readOwner(c.home)
		if (err == nil && now != c.state) || errors.Is(err, os.ErrNotExist) || !lockHeld(c.home) {
			close(c.gone)
			return
		}
	}
}

// close lets an attached cluster go, and stops an owned one.
func (c *cluster) close() error {
	var err error
	c.once.Do(func() {
		close(c.stop)
		if c.server == nil {
			return
		}
		err = c.server.stop()
		removeOwner(c.home)
		if c.state.Temporary {
			_ = os.Remove(c.state.Socket)
		}
		err = errors.Join(err, c.lock.Close())
	})
	return err
}

func noData(dir string, err error) error {
	e := &scheduler.Error{Kind: scheduler.Unavailable, Message: "the data directory " + dir + " cannot be used", Err: err}
	if diskFull(err) {
		e.Hint = "its disk is full; free space on it"
	} else {
		e.Hint = "check its path, owner and permissions, or set DATABASE_URL"
	}
	return e
}

// pause waits for d and answers whether to try again: false once late has
// fired. It fails when ctx ends first.
func pause(ctx context.Context, d time.Duration, late *time.Timer) (again bool, err error) {
	select {
	case <-ctx.Done():
		return false, failed("wait for database", fmt.Errorf("wait: %w", ctx.Err()))
	case <-late.C:
		return false, nil
	case <-time.After(d):
		return true, nil
	}
}
