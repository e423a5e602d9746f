package db

import (
	"context"
	"errors"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"limbround/scheduler"
)

// retryable reports whether the server undid the transaction only because
// another one was in the way.
func retryable(code string) bool { return code == "40001" || code == "40P01" }

// failed turns a driver's error into a scheduler.Error of the right kind. op
// is the operation in plain words ("read policy"). nil stays nil; an error that already
// is a scheduler.Error passes unchanged.
func failed(op string, err error) error {
	var own *scheduler.Error
	var pe *pgconn.PgError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &own):
		return err
	case errors.Is(err, pgx.ErrNoRows):
		return scheduler.Wrap(scheduler.NotFound, op, err)
	case errors.As(err, &pe):
		return fromServer(op, pe, err)
	case errors.Is(err, context.Canceled):
		return scheduler.Wrap(scheduler.Unavailable, op, err)
	case errors.Is(err, context.DeadlineExceeded):
		return &scheduler.Error{Kind: scheduler.Unavailable, Message: op, Hint: "the database did not answer in time; try again", Err: err}
	case lostConnection(err):
		return &scheduler.Error{
			Kind: scheduler.Unavailable, Message: op, Err: err,
			Hint: "the database cannot be reached; check that its server runs, then try again",
		}
	}
	return scheduler.Wrap(scheduler.Internal, op, err)
}

func lostConnection(err error) bool {
	var ce *pgconn.ConnectError
	var ne net.Error
	return errors.As(err, &ce) || errors.As(err, &ne) || errors.Is(err, net.ErrClosed) ||
		errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) ||
		pgconn.SafeToRetry(err) || strings.Contains(err.Error(), "conn closed")
}

// fromServer maps an SQLSTATE (PostgreSQL documentation, appendix A).
func fromServer(op string, pe *pgconn.PgError, err error) error {
	e := &scheduler.Error{Kind: scheduler.Internal, Message: op, Err: err}
	switch pe.Code {
	case "53100", "58030":
		e.Kind, e.Hint = scheduler.Unavailable, "the database's disk is full or failing; free space on it, then try again"
	case "53300":
		e.Kind, e.Hint = scheduler.Unavailable, "the database has no free connection; lower the pool size or raise max_connections"
	case "57P01", "57P02", "57P03", "25006":
		e.Kind, e.Hint = scheduler.Unavailable, "the database server is stopping, starting or standing by; try again"
	case "57014":
		e.Kind, e.Hint = scheduler.Unavailable, "the database stopped the query because it took too long"
	case "40001", "40P01", "55P03":
		e.Kind, e.Hint = scheduler.Clash, "someone else is writing the same rows; try again"
	case "23505":
		e.Kind, e.Message = scheduler.Clash, op+": it exists already (rule "+pe.ConstraintName+")"
	case "23P01":
		e.Kind, e.Message = scheduler.Clash, op+": it overlaps an existing one (rule "+pe.ConstraintName+")"
	case "23503":
		e.Kind, e.Message = scheduler.Invalid, op+": it points at something that is not there, or is still pointed at (rule "+pe.ConstraintName+")"
	case "23514":
		e.Kind, e.Message = scheduler.Invalid, op+": a value is outside its rule "+pe.ConstraintName
	case "23502":
		e.Kind, e.Message = scheduler.Invalid, op+": a value is missing in "+pe.TableName+"."+pe.ColumnName
	case "42501":
		e.Kind, e.Hint = scheduler.Unavailable, "the database's role lacks a right that this needs; ask its administrator, or let the administrator run: CREATE EXTENSION postgis"
	case "28000", "28P01", "3D000":
		e.Kind, e.Hint = scheduler.Unavailable, "the database refused the connection; check user, password and database name in DATABASE_URL"
	default:
		switch pe.Code[:min(2, len(pe.Code))] {
		case "08", "53":
			e.Kind = scheduler.Unavailable
		case "22":
			e.Kind = scheduler.Invalid
		}
	}
	return e
}
