package db

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
)

// Whether a worker is alive. A worker works under a name of its own and holds,
// as long as it lives, an advisory lock on that name, in a transaction that
// it keeps open on a connection outside the pool. The server frees the lock at
// once when the process is killed, and does not free it while a process merely
// waits, is stopped or works long: so a free lock, and nothing else, means
// that the jobs of that name are nobody's. An open transaction rather than a session
// lock, since a transaction-mode pooler keeps the former on one connection. It
// reads nothing, so it holds no snapshot and does not hinder vacuum.
//
// The worker for its part asks every second whether its lock still stands. When
// it does not know for beatWait, it ends its jobs; others take them up only when
// the lock has been free for goneFor, which is longer. So there is no time at which
// two workers run one job.
const (
	beatEvery = time.Second
	beatWait  = 4 * time.Second
	goneFor   = 6 * time.Second
)

const (
	// Timeouts for idle transactions are there for programs that forget them.
	lifeForeverSQL = `
SELECT set_config(name, '0', true) FROM pg_settings
WHERE name IN ('idle_in_transaction_session_timeout', 'transaction_timeout', 'statement_timeout', 'lock_timeout')`
	// A machine that lost its power sends no word: the server asks after 10 s.
	lifeAsksSQL = `
SELECT set_config('tcp_keepalives_idle', '10', true), set_config('tcp_keepalives_interval', '5', true), set_config('tcp_keepalives_count', '3', true)`
	lifeLockSQL = `SELECT pg_advisory_xact_lock(hashtextextended($1, 7201964304))`
	// Shared, so that sweepers are not in each other's way.
	lifeGoneSQL = `SELECT pg_try_advisory_xact_lock_shared(hashtextextended($1, 7201964304))`
	lifeBeatSQL = `SELECT 1`
)

// life is the lock of one name.
type life struct {
	conn *pgx.Conn
	tx   pgx.Tx
	lost chan struct{} // closed when the lock may be free
	end  context.CancelFunc
	done chan struct{}
}

// live takes the lock of a name.
func (d *DB) live(ctx context.Context, name string) (*life, error) {
	cfg, err := pgx.ParseConfig(d.cfg.DirectURL)
	if err != nil {
		return nil, fmt.Errorf("read database URL: %w", err)
	}
	cfg.DefaultQueryExecMode = pgx.QueryExecModeExec // no prepared statements: this may be a pooler
	cfg.RuntimeParams["application_name"] = "limbround"
	begin, stop := context.WithTimeout(ctx, 10*time.Second)
	defer stop()
	conn, err := pgx.ConnectConfig(begin, cfg)
	if err != nil {
		return nil, failed("reach database for a worker", err)
	}
	l := &life{conn: conn, lost: make(chan struct{}), done: make(chan struct{})}
	if err := l.begin(begin, name); err != nil {
		_ = conn.Close(ctx) // the error above says more
		return nil, failed("take the lock of a worker", err)
	}
	beating, cancel := context.WithCancel(context.WithoutCancel(ctx))
	l.end = cancel
	go l.beat(beating)
	return l, nil
}

func (l *life) begin(ctx context.Context, name string) (err error) {
	if l.tx, err = l.conn.Begin(ctx); err != nil {
		return err
	}
	for _, sql := range []string{lifeForeverSQL, lifeAsksSQL} {
		if _, err := l.tx.Exec(ctx, sql); err != nil {
			return err
		}
	}
	_, err = l.tx.Exec(ctx, lifeLockSQL, name)
	return err
}

// beat asks until it is ended or gets no answer.
func (l *life) beat(ctx context.Context) {
	defer close(l.done)
	tick := time.NewTicker(beatEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		one, cancel := context.WithTimeout(ctx, beatWait)
		_, err := l.tx.Exec(one, lifeBeatSQL)
		cancel()
		if err != nil && ctx.Err() == nil {
			close(l.lost)
			return
		}
	}
}

// leave gives the lock up.
func (l *life) leave(ctx context.Context) {
	l.end()
	<-l.done
	_ = l.tx.Rollback(ctx)
	_ = l.conn.Close(ctx) // with or without an answer, the server lets go of it
}
