package dbtest

import (
	"context"
	"slices"
	"testing"

	"github.com/jackc/pgx/v5"
)

// Query answers the first column of each row, as text; the statement has to
// cast what is no text.
func Query(t testing.TB, url, sql string, args ...any) []string {
	t.Helper()
	c := connect(t, url)
	defer c.Close(context.Background())
	return query(t, c, sql, args...)
}

// Dump answers every table of the schema but the named ones: its rows as text,
// in the order of that text. Two dumps are equal exactly when the tables hold
// the same rows, ids included. The stage, which an import leaves as it likes,
// and the tables of the migrations and of the queue stay out.
func Dump(t testing.TB, url string, except ...string) map[string][]string {
	t.Helper()
	c := connect(t, url)
	defer c.Close(context.Background())
	out := map[string][]string{}
	for _, table := range query(t, c, `
SELECT tablename::text FROM pg_tables
WHERE schemaname = 'public' AND tablename !~ '^(stage_|river_|goose_)' AND tablename <> 'spatial_ref_sys'`) {
		if !slices.Contains(except, table) {
			out[table] = query(t, c, "SELECT t::text FROM "+pgx.Identifier{table}.Sanitize()+" t ORDER BY 1")
		}
	}
	if len(out) < 10 {
		t.Fatalf("dump: only %d tables found", len(out))
	}
	return out
}

func connect(t testing.TB, url string) *pgx.Conn {
	t.Helper()
	c, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatalf("reach test database: %v", err)
	}
	return c
}

func query(t testing.TB, c *pgx.Conn, sql string, args ...any) []string {
	t.Helper()
	rows, err := c.Query(t.Context(), sql, args...)
	if err != nil {
		t.Fatalf("query test database: %v", err)
	}
	list, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatalf("query test database: %v", err)
	}
	return list
}
