package db

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"limbround/scheduler"
)

func TestServerErrorsBecomeTheRightKind(t *testing.T) {
	for code, want := range map[string]scheduler.Kind{
		"53100": scheduler.Unavailable, // disk full
		"58030": scheduler.Unavailable, // input or output failed
		"53300": scheduler.Unavailable, // too many connections
		"57P01": scheduler.Unavailable, // administrator stopped the server
		"57P03": scheduler.Unavailable, // starting up
		"08006": scheduler.Unavailable, // connection failure
		"42501": scheduler.Unavailable, // the role may not make the extension
		"23505": scheduler.Clash,       // unique
		"40001": scheduler.Clash,       // serialization, after all retries
		"23503": scheduler.Invalid,     // foreign key
		"23514": scheduler.Invalid,     // check
		"23502": scheduler.Invalid,     // not null
		"22P02": scheduler.Invalid,     // text that is no number
		"42703": scheduler.Internal,    // no such column: our own mistake
	} {
		err := failed("store visit", fmt.Errorf("run: %w", &pgconn.PgError{Code: code, ConstraintName: "visit_span"}))
		if got := scheduler.KindOf(err); got != want {
			t.Errorf("%s: %s, want %s", code, got, want)
		}
	}
}

func TestOtherErrorsBecomeTheRightKind(t *testing.T) {
	own := scheduler.Errorf(scheduler.Stale, "changed since")
	for _, c := range []struct {
		err  error
		want scheduler.Kind
	}{
		{nil, ""},
		{pgx.ErrNoRows, scheduler.NotFound},
		{fmt.Errorf("write: %w", own), scheduler.Stale},
		{context.DeadlineExceeded, scheduler.Unavailable},
		{context.Canceled, scheduler.Unavailable},
		{io.ErrUnexpectedEOF, scheduler.Unavailable},
		{errors.New("a surprise"), scheduler.Internal},
	} {
		if got := scheduler.KindOf(failed("read visit", c.err)); got != c.want {
			t.Errorf("%v: %q, want %q", c.err, got, c.want)
		}
	}
}

func TestAServerThatCannotServeIsNamed(t *testing.T) {
	for _, c := range []struct {
		name string
		s    serverFacts
		says string // in the sentence and the hint; empty when it serves
	}{
		{"good", serverFacts{"15.8", 150008, true}, ""},
		{"newer", serverFacts{"18.1", 180001, true}, ""},
		{"too old", serverFacts{"14.13", 140013, true}, "PostgreSQL 14.13 is older than 15"},
		{"no PostGIS", serverFacts{"16.4", 160004, false}, "postgresql-16-postgis-3"},
	} {
		err := cmp.Or(c.s.tooOld(), c.s.noPostGIS())
		if c.says == "" {
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		var e *scheduler.Error
		if !errors.As(err, &e) || e.Kind != scheduler.Unavailable || e.Hint == "" || !strings.Contains(e.Message+e.Hint, c.says) {
			t.Errorf("%s: %v, want %q", c.name, err, c.says)
		}
	}
}
