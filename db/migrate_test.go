package db_test

import (
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/db"
	"limbround/db/dbtest"
	"limbround/migrations"
	"limbround/scheduler"
)

var (
	today = scheduler.NewDate(2026, time.June, 1)
	by    = scheduler.Stamp{Actor: "test", At: time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)}
)

// open opens a store on url and closes it when the test ends.
func open(t *testing.T, cfg db.Config) *db.DB {
	t.Helper()
	d, err := db.Open(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	return d
}

// plainSQL runs plain SQL beside the store, for what no method offers.
func plainSQL(t *testing.T, d *db.DB, sql string) {
	t.Helper()
	c, err := pgx.Connect(t.Context(), d.URL())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(t.Context())
	if _, err := c.Exec(t.Context(), sql); err != nil {
		t.Fatal(err)
	}
}

// count answers the single number of a query. It serves in cleanups too.
func count(t *testing.T, d *db.DB, sql string) (n int) {
	t.Helper()
	ctx := context.Background()
	c, err := pgx.Connect(ctx, d.URL())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(ctx)
	if err := c.QueryRow(ctx, sql).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

// wantKind fails unless err is of the kind.
func wantKind(t *testing.T, err error, k scheduler.Kind) {
	t.Helper()
	if got := scheduler.KindOf(err); got != k {
		t.Fatalf("got kind %q (%v), want %q", got, err, k)
	}
}

func TestMigrateEmptyDatabaseFromSeveralServersAtOnce(t *testing.T) {
	url := dbtest.EmptyURL(t)
	d := open(t, db.Config{URL: url, MaxConns: 2})
	wantKind(t, d.CheckSchema(t.Context()), scheduler.Unavailable)

	var wg sync.WaitGroup
	for range 3 {
		other := open(t, db.Config{URL: url, MaxConns: 2})
		wg.Go(func() {
			if err := other.Migrate(t.Context(), by); err != nil {
				t.Errorf("migrate: %v", err)
			}
		})
	}
	wg.Wait()
	if err := d.CheckSchema(t.Context()); err != nil {
		t.Fatal(err)
	}
	if n := count(t, d, `SELECT count(*) FROM policy`); n != 1 {
		t.Errorf("%d policies, want the first preset once", n)
	}
	table, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	if list, err := d.Species(t.Context()); err != nil || len(list) != len(table) {
		t.Errorf("%d species, %v; want %d", len(list), err, len(table))
	}

	before := count(t, d, `SELECT count(*) FROM audit`)
	if err := d.Migrate(t.Context(), by); err != nil {
		t.Fatal(err)
	}
	if after := count(t, d, `SELECT count(*) FROM audit`); after != before {
		t.Errorf("migrating again wrote %d audit lines", after-before)
	}
}

func TestNewestIsTheLastMigrationFile(t *testing.T) {
	d := dbtest.New(t)
	n, err := d.SchemaVersion(t.Context())
	if err != nil || n != migrations.Newest {
		t.Fatalf("schema %d, %v; want migrations.Newest %d", n, err, migrations.Newest)
	}
}

func TestOlderAndNewerSchemasAreRefused(t *testing.T) {
	d := dbtest.New(t)
	if err := d.CheckSchema(t.Context()); err != nil {
		t.Fatal(err)
	}
	plainSQL(t, d, `INSERT INTO goose_db_version (version_id, is_applied) VALUES (999, true)`)
	err := d.CheckSchema(t.Context())
	wantKind(t, err, scheduler.Unavailable)
	if !strings.Contains(err.Error(), "999") {
		t.Errorf("the version is not named: %v", err)
	}
	wantKind(t, d.Migrate(t.Context(), by), scheduler.Unavailable)

	plainSQL(t, d, `DELETE FROM goose_db_version WHERE version_id > 8`)
	wantKind(t, d.CheckSchema(t.Context()), scheduler.Unavailable)

	fresh := dbtest.New(t)
	plainSQL(t, fresh, `DELETE FROM river_migration WHERE version = (SELECT max(version) FROM river_migration)`)
	wantKind(t, fresh.CheckSchema(t.Context()), scheduler.Unavailable)
}

func TestAProgramUpdateLeavesTheCitysOwnSpeciesAlone(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	list, err := d.Species(ctx)
	if err != nil {
		t.Fatal(err)
	}
	own := list[0]
	own.Common = "our own name"
	if err := d.SetSpecies(ctx, own, by); err != nil {
		t.Fatal(err)
	}
	plainSQL(t, d, `UPDATE species SET common = 'stale' WHERE code = '`+list[1].Code+`'`)
	plainSQL(t, d, `UPDATE species SET code = 'OWNCODE', local = true WHERE code = '`+list[2].Code+`'`)
	if err := d.Migrate(ctx, by); err != nil {
		t.Fatal(err)
	}
	if s, err := d.SpeciesByCode(ctx, own.Code); err != nil || s.Common != own.Common {
		t.Errorf("own species: %q, %v", s.Common, err)
	}
	if s, err := d.SpeciesByCode(ctx, list[1].Code); err != nil || s.Common != list[1].Common {
		t.Errorf("built-in species was not renewed: %q, %v", s.Common, err)
	}
	if _, err := d.SpeciesByCode(ctx, list[2].Code); scheduler.KindOf(err) != scheduler.NotFound {
		t.Errorf("the species that the city has under another code came twice: %v", err)
	}
}

// tryExec runs plain SQL that may fail.
func tryExec(t *testing.T, d *db.DB, sql string) error {
	t.Helper()
	c, err := pgx.Connect(t.Context(), d.URL())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(t.Context())
	_, err = c.Exec(t.Context(), sql)
	return err
}
