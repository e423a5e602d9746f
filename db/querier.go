package db

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"
)

// querier reads: the pool, or a transaction.
type querier interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
}

func isNoRows(err error) bool { return errors.Is(err, pgx.ErrNoRows) }
