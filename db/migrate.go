package db

import (
	"cmp"
	"context"
	"fmt"

	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivermigrate"

	"limbround/migrations"
	"limbround/scheduler"
)

// migrateLock is the advisory lock that lets one migration run at a time.
const migrateLock = 7_201_964_301

const (
	lockSchemaSQL   = `SELECT pg_advisory_lock($1)`
	schemaThereSQL  = `SELECT to_regclass('public.goose_db_version') IS NOT NULL`
	schemaNumberSQL = `SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied`
)

// Migrate brings the schema and the queue's tables to this program's version,
// then fills the species table and, in a database without one, adopts the first
// preset policy. It runs on a direct connection under one lock, so that
// several servers may start at once. Running it again changes nothing. A server
// that is too old or has no PostGIS is Unavailable before anything is written.
func (d *DB) Migrate(ctx context.Context, by scheduler.Stamp) error {
	s, err := d.server(ctx)
	if err == nil {
		err = cmp.Or(s.tooOld(), s.noPostGIS())
	}
	if err != nil {
		return err
	}
	pool, err := d.newPool(ctx, d.cfg.DirectURL, 4, false)
	if err != nil {
		return err
	}
	defer pool.Close()
	lock, err := pool.Acquire(ctx)
	if err != nil {
		return failed("reach database for migration", err)
	}
	defer lock.Release()
	if _, err := lock.Exec(ctx, lockSchemaSQL, int64(migrateLock)); err != nil {
		return failed("lock schema", err)
	}
	// Ending the session frees the lock even when ctx is done.
	defer func() { _ = lock.Conn().Close(context.WithoutCancel(ctx)) }()

	n, err := d.SchemaVersion(ctx)
	if err != nil {
		return err
	}
	if n > migrations.Compatible {
		return newerSchema(n)
	}
	if err := migrateSchema(ctx, pool); err != nil {
		return err
	}
	// New enum types exist now: connections opened before must not be kept.
	d.types.Store(nil)
	d.pool.Reset()
	return d.seed(ctx, by)
}

func migrateSchema(ctx context.Context, pool *pgxpool.Pool) error {
	sqlDB := stdlib.OpenDBFromPool(pool)
	defer sqlDB.Close()
	p, err := goose.NewProvider(goose.DialectPostgres, sqlDB, migrations.FS)
	if err != nil {
		return fmt.Errorf("read migrations: %w", err)
	}
	if _, err := p.Up(ctx); err != nil {
		return failed("migrate schema", err)
	}
	queue, err := rivermigrate.New(riverpgxv5.New(pool), nil)
	if err != nil {
		return fmt.Errorf("read queue migrations: %w", err)
	}
	if _, err := queue.Migrate(ctx, rivermigrate.DirectionUp, nil); err != nil {
		return failed("migrate queue", err)
	}
	return nil
}

// SchemaVersion is the number of the newest applied migration, 0 in an empty
// database.
func (d *DB) SchemaVersion(ctx context.Context) (int64, error) {
	var there bool
	if err := d.pool.QueryRow(ctx, schemaThereSQL).Scan(&there); err != nil || !there {
		return 0, failed("read schema version", err)
	}
	var n int64
	err := d.pool.QueryRow(ctx, schemaNumberSQL).Scan(&n)
	return n, failed("read schema version", err)
}

// CheckSchema answers nil when this program can serve the database's schema.
// An older schema, or one newer than migrations.Compatible, is Unavailable.
func (d *DB) CheckSchema(ctx context.Context) error {
	n, err := d.SchemaVersion(ctx)
	switch {
	case err != nil:
		return err
	case n < migrations.Newest:
		return &scheduler.Error{
			Kind: scheduler.Unavailable, Hint: "run: limbround migrate",
			Message: fmt.Sprintf("the database has schema %d, this program needs %d", n, migrations.Newest),
		}
	case n > migrations.Compatible:
		return newerSchema(n)
	}
	queue, err := rivermigrate.New(riverpgxv5.New(d.pool), nil)
	if err != nil {
		return fmt.Errorf("read queue migrations: %w", err)
	}
	v, err := queue.Validate(ctx, nil)
	if err != nil {
		return failed("read queue version", err)
	}
	if !v.OK {
		return &scheduler.Error{
			Kind: scheduler.Unavailable, Hint: "run: limbround migrate",
			Message: "the job queue's tables are older than this program",
		}
	}
	return nil
}

func newerSchema(n int64) error {
	return &scheduler.Error{
		Kind: scheduler.Unavailable, Hint: "install the newer limbround that migrated this database",
		Message: fmt.Sprintf("the database has schema %d, this program can serve up to %d", n, migrations.Compatible),
	}
}
