package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
)

// InTx opens the transaction helper to the tests outside the package.
func InTx(ctx context.Context, d *DB, fn func(pgx.Tx) error) error { return d.tx(ctx, fn) }

// GoneFor is how long a worker's lock is free before its jobs are taken up.
const GoneFor = goneFor

// Sweeper lets a test sweep at times of its own.
type Sweeper struct{ sweeper }

// NewSweeper is what every worker has.
func NewSweeper(d *DB) *Sweeper { return &Sweeper{sweeper{d: d, gone: map[string]time.Time{}}} }

// Sweep looks once.
func (s *Sweeper) Sweep(ctx context.Context, own string, at time.Time) error {
	return s.sweep(ctx, own, at)
}

// Live takes the lock of a worker's name; leave gives it up.
func Live(ctx context.Context, d *DB, name string) (leave func(), err error) {
	l, err := d.live(ctx, name)
	if err != nil {
		return nil, err
	}
	return func() { l.leave(context.WithoutCancel(ctx)) }, nil
}
