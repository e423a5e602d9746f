package db_test

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"
)

// invariants reads the rules of deploy/invariants.sql: the name of each and its query.
func invariants(t *testing.T) (names []string, queries map[string]string) {
	t.Helper()
	text, err := os.ReadFile("../deploy/invariants.sql")
	if err != nil {
		t.Fatal(err)
	}
	queries = map[string]string{}
	for part := range strings.SplitSeq(string(text), ";\n") {
		var lines []string
		for line := range strings.Lines(part) {
			if !strings.HasPrefix(line, "--") {
				lines = append(lines, line)
			}
		}
		sql := strings.TrimSpace(strings.Join(lines, ""))
		rest, ok := strings.CutPrefix(sql, "SELECT '")
		if !ok {
			continue
		}
		name, _, _ := strings.Cut(rest, "'")
		if queries[name] != "" {
			t.Errorf("two rules are called %s", name)
		}
		names, queries[name] = append(names, name), sql
	}
	if n := strings.Count(string(text), "\nSELECT '"); n != len(names) || n == 0 {
		t.Fatalf("%d rules were read, the file has %d", len(names), n)
	}
	return names, queries
}

// brokenRules asks every rule, and answers the names of those that are broken,
// with one row of each.
func brokenRules(t *testing.T, ctx context.Context, tx pgx.Tx, names []string, queries map[string]string) (broken []string, rows map[string]string) {
	t.Helper()
	rows = map[string]string{}
	for _, name := range names {
		found, err := tx.Query(ctx, queries[name])
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var rule, subject, what *string
		_, err = pgx.ForEachRow(found, []any{&rule, &subject, &what}, func() error {
			if rule == nil || subject == nil || what == nil {
				t.Fatalf("%s answers a NULL", name)
			}
			if rows[*rule] == "" {
				broken, rows[*rule] = append(broken, *rule), *subject+": "+*what
			}
			return nil
		})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	return broken, rows
}

// TestEachInvariantSeesItsViolation plants every kind of violation in a sound
// city, with the database's own rules switched off, and sees that the one rule
// that is meant reports it, and no other.
func TestEachInvariantSeesItsViolation(t *testing.T) {
	names, queries := invariants(t)
	conn := soundCity(t)
	ctx := t.Context()
	sound, err := conn.Begin(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if broken, rows := brokenRules(t, ctx, sound, names, queries); len(broken) > 0 {
		t.Errorf("the sound city breaks %v", rows)
	}
	if err := sound.Rollback(ctx); err != nil {
		t.Fatal(err)
	}
	planted := plants()
	for name := range planted {
		if !slices.Contains(names, name) {
			t.Errorf("there is no rule %s", name)
		}
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			tx, err := conn.Begin(ctx)
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = tx.Rollback(ctx) }()
			if _, err := tx.Exec(ctx, `SET LOCAL session_replication_role = replica`); err != nil {
				t.Fatal(err)
			}
			if len(planted[name]) == 0 {
				t.Fatal("nobody plants its violation")
			}
			for i, sql := range planted[name] {
				tag, err := tx.Exec(ctx, sql)
				if err != nil {
					t.Fatalf("%s: %v", sql, err)
				}
				if i == len(planted[name])-1 && tag.RowsAffected() == 0 {
					t.Fatalf("%s touches no row", sql)
				}
			}
			broken, rows := brokenRules(t, ctx, tx, names, queries)
			if diff := cmp.Diff([]string{name}, broken); diff != "" {
				t.Errorf("reported: %v\n%s", rows, diff)
			}
		})
	}
}
