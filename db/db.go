// Package db keeps Limbround's facts in PostgreSQL with PostGIS: the pool, the
// private cluster that serves when no database is configured, transactions,
// the audit and the job queue's client. Methods on DB are grouped in one file
// for each noun; their SQL stands beside them as constants.
package db

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river"

	"limbround/scheduler"
)

// oldestMajor is the oldest PostgreSQL that Limbround supports.
const oldestMajor = 15

// Config says which database to use. With an empty URL a private PostgreSQL
// cluster is started in DataDir, or attached to when another limbround process
// already runs it.
type Config struct {
	URL       string // DATABASE_URL: a PostgreSQL connection string
	DirectURL string // DATABASE_DIRECT_URL: a connection that bypasses a pooler; URL when empty
	Pooled    bool   // DB_POOLED: URL leads to a transaction-mode pooler
	MaxConns  int    // size of the pool, 0 for a default

	DataDir     string // home of the private cluster, absolute
	PGBin       string // directory of the PostgreSQL server binaries; searched when empty
	PGUser      string // system user that runs the server when this process is root; "postgres" when empty
	AnalystPort int    // when above 0, the private cluster also listens on 127.0.0.1 at this port
	ThrowAway   bool   // private cluster without durability, for tests only

	Log *slog.Logger // discards when nil
}

// DB is the store. It is safe for use by several goroutines.
type DB struct {
	pool    *pgxpool.Pool
	cfg     Config
	cluster *cluster // nil when URL was given
	types   atomic.Pointer[[]ownType]
	queue   *river.Client[pgx.Tx] // inserts jobs
	read    sync.Map              // scheduler.Policy by id: a version never changes, and reading its text takes milliseconds
	traits  sync.Map              // scheduler.Species by the text of its traits
}

// Open starts or attaches to the private cluster if no URL is configured, and
// opens the pool. It does not migrate. It fails with Unavailable when the
// database cannot be reached and Invalid when the configuration is wrong.
func Open(ctx context.Context, cfg Config) (*DB, error) {
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	d := &DB{cfg: cfg}
	if cfg.URL == "" {
		c, err := openCluster(ctx, cfg)
		if err != nil {
			return nil, err
		}
		d.cluster = c
		d.cfg.URL, d.cfg.Pooled = c.url(), false
		d.cfg.DirectURL = d.cfg.URL
	}
	if d.cfg.DirectURL == "" {
		d.cfg.DirectURL = d.cfg.URL
	}
	var err error
	if d.pool, err = d.newPool(ctx, d.cfg.URL, cfg.MaxConns, d.cfg.Pooled); err == nil {
		err = d.Ping(ctx)
	}
	if err == nil {
		d.queue, err = d.newQueue(nil, "")
	}
	if err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

// newPool opens a pool of at most n connections. Behind a transaction-mode
// pooler no named prepared statement survives between transactions, so
// statements are only described there.
func (d *DB) newPool(ctx context.Context, url string, n int, pooled bool) (*pgxpool.Pool, error) {
	pc, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, &scheduler.Error{
			Kind: scheduler.Invalid, Message: "the database URL cannot be read",
			Hint: "write postgres://user@host:5432/name", Err: err,
		}
	}
	if n > 0 {
		pc.MaxConns = int32(n)
	} else if pc.MaxConns < 8 {
		pc.MaxConns = 8
	}
	pc.ConnConfig.ConnectTimeout = 10 * time.Second
	if pooled {
		pc.ConnConfig.DefaultQueryExecMode = pgx.QueryExecModeCacheDescribe
	}
	pc.ConnConfig.RuntimeParams["timezone"] = "UTC" // poolers carry these two along
	pc.ConnConfig.RuntimeParams["application_name"] = "limbround"
	pc.AfterConnect = d.registerTypes
	pool, err := pgxpool.NewWithConfig(ctx, pc)
	return pool, failed("open database", err)
}

// Close ends the pool and, when this process owns the private cluster, stops
// its server cleanly.
func (d *DB) Close() error {
	if d.pool != nil {
		d.pool.Close()
	}
	if d.cluster != nil {
		return d.cluster.close()
	}
	return nil
}

// Ping answers nil when the database takes queries.
func (d *DB) Ping(ctx context.Context) error { return failed("reach database", d.pool.Ping(ctx)) }

// Gone is closed when the private cluster's server has ended although Close
// was not called: its owner stopped, or the server died. It is nil, and so
// never ready, for a database given by URL.
func (d *DB) Gone() <-chan struct{} {
	if d.cluster == nil {
		return nil
	}
	return d.cluster.gone
}

// URL is the connection string in use.
func (d *DB) URL() string { return d.cfg.URL }

// txTries is how often a transaction is run when the database asks to try
// again (deadlock, serialization failure).
const txTries = 4

// tx runs fn in a transaction, committing when it answers nil. When the
// database breaks a deadlock fn runs again from the start, so fn must not keep
// results of an earlier run.
func (d *DB) tx(ctx context.Context, fn func(pgx.Tx) error) error {
	for try := 1; ; try++ {
		err := pgx.BeginFunc(ctx, d.pool, fn)
		var pe *pgconn.PgError
		if try < txTries && errors.As(err, &pe) && retryable(pe.Code) && ctx.Err() == nil {
			d.cfg.Log.Debug("transaction runs again", "try", try, "code", pe.Code)
			continue
		}
		return failed("write to database", err)
	}
}
