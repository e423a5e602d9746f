// Package dbtest gives each test a private database: a clone of a migrated
// template on the cluster named by LIMBROUND_TEST_DATABASE_URL.
package dbtest

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/db"
	"limbround/migrations"
	"limbround/scheduler"
)

// Env names the variable with the URL of a test cluster. Its user must be
// allowed to create databases.
const Env = "LIMBROUND_TEST_DATABASE_URL"

// now is the time at which templates are migrated.
var now = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// New answers a store on a database of the test's own, migrated and seeded. It
// is dropped when the test ends.
func New(t testing.TB) *db.DB {
	t.Helper()
	d, err := db.Open(t.Context(), db.Config{URL: URL(t), MaxConns: 8})
	if err != nil {
		t.Fatalf("open test database: %v", err)
	}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Errorf("close test database: %v", err)
		}
	})
	return d
}

// URL is the connection string of a migrated database of the test's own.
func URL(t testing.TB) string { return clone(t, template) }

// EmptyURL is the connection string of an empty database of the test's own,
// for tests of migration itself.
func EmptyURL(t testing.TB) string {
	return clone(t, func(context.Context, *pgx.Conn) (string, error) { return "template0", nil })
}

func clone(t testing.TB, from func(context.Context, *pgx.Conn) (string, error)) string {
	t.Helper()
	base := os.Getenv(Env)
	if base == "" {
		t.Fatalf("%s is not set. Run the tests under a throw-away cluster:\n"+
			"    go run ./db/dbtest/testcluster -- go test ./...\n"+
			"or set it to a PostgreSQL server with PostGIS whose user may create databases.", Env)
	}
	ctx := t.Context()
	c, err := pgx.Connect(ctx, base)
	if err != nil {
		t.Fatalf("reach test cluster %s: %v", base, err)
	}
	defer c.Close(ctx)
	tmpl, err := from(ctx, c)
	if err != nil {
		t.Fatalf("make template database: %v", err)
	}
	name := "limbround_test_" + randomHex()
	if _, err := c.Exec(ctx, "CREATE DATABASE "+name+" TEMPLATE "+tmpl); err != nil {
		t.Fatalf("clone template database: %v", err)
	}
	t.Cleanup(func() { drop(t, base, name) })
	return withDatabase(t, base, name)
}

// template answers the name of the migrated template, making it first when the
// schema's content has changed. Several test programs may come at once.
func template(ctx context.Context, c *pgx.Conn) (string, error) {
	hash, err := contentHash()
	if err != nil {
		return "", err
	}
	name := "limbround_template_" + hash
	if ok, err := exists(ctx, c, name); ok || err != nil {
		return name, err
	}
	const lock = 7_201_964_302
	if _, err := c.Exec(ctx, "SELECT pg_advisory_lock($1)", int64(lock)); err != nil {
		return "", fmt.Errorf("lock template: %w", err)
	}
	defer func() { _, _ = c.Exec(context.WithoutCancel(ctx), "SELECT pg_advisory_unlock($1)", int64(lock)) }()
	if ok, err := exists(ctx, c, name); ok || err != nil {
		return name, err
	}
	raw := name + "_raw"
	for _, sql := range []string{"DROP DATABASE IF EXISTS " + raw + " WITH (FORCE)", "CREATE DATABASE " + raw + " TEMPLATE template0"} {
		if _, err := c.Exec(ctx, sql); err != nil {
			return "", fmt.Errorf("make %s: %w", raw, err)
		}
	}
	if err := migrate(ctx, c.Config(), raw); err != nil {
		return "", err
	}
	for _, sql := range []string{
		"ALTER DATABASE " + raw + " ALLOW_CONNECTIONS false", // a visitor would block every clone
		"ALTER DATABASE " + raw + " RENAME TO " + name,
	} {
		if _, err := c.Exec(ctx, sql); err != nil {
			return "", fmt.Errorf("finish %s: %w", raw, err)
		}
	}
	return name, nil
}

func migrate(ctx context.Context, base *pgx.ConnConfig, name string) error {
	u, err := setDatabase(base.ConnString(), name)
	if err != nil {
		return err
	}
	d, err := db.Open(ctx, db.Config{URL: u, MaxConns: 2})
	if err != nil {
		return err
	}
	err = d.Migrate(ctx, scheduler.Stamp{Actor: "dbtest", At: now})
	if err2 := d.Close(); err == nil {
		err = err2
	}
	return err
}

func exists(ctx context.Context, c *pgx.Conn, name string) (ok bool, err error) {
	err = c.QueryRow(ctx, "SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1)", name).Scan(&ok)
	return ok, err
}

// contentHash changes whenever what a migrated database holds changes.
func contentHash() (string, error) {
	h := sha256.New()
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil {
		return "", err
	}
	for _, n := range names {
		b, err := migrations.FS.ReadFile(n)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(h, "%s %d\n%s", n, len(b), b)
	}
	species, err := scheduler.SpeciesTable()
	if err != nil {
		return "", err
	}
	fmt.Fprintf(h, "%+v\n", species)
	for _, n := range scheduler.Presets() {
		b, err := scheduler.Preset(n)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(h, "%s %d\n%s", n, len(b), b)
	}
	return hex.EncodeToString(h.Sum(nil)[:6]), nil
}

func drop(t testing.TB, base, name string) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	c, err := pgx.Connect(ctx, base)
	if err == nil {
		_, err = c.Exec(ctx, "DROP DATABASE "+name+" WITH (FORCE)")
		_ = c.Close(ctx)
	}
	if err != nil {
		t.Errorf("drop test database: %v", err)
	}
}

func withDatabase(t testing.TB, base, name string) string {
	t.Helper()
	u, err := setDatabase(base, name)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func setDatabase(base, name string) (string, error) {
	u, err := url.Parse(base)
	if err != nil || u.Scheme == "" {
		return "", fmt.Errorf("%s must be a URL (postgres://...), not %q", Env, base)
	}
	u.Path = "/" + name
	return u.String(), nil
}

func randomHex() string {
	b := make([]byte, 8)
	_, _ = rand.Read(b) // never fails (crypto/rand)
	return hex.EncodeToString(b)
}
