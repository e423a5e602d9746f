package db

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// InTx opens the transaction helper to the tests outside the package.
func InTx(ctx context.Context, d *DB, fn func(pgx.Tx) error) error { return d.tx(ctx, fn) }
