package db_test

import (
	"context"
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"limbround/db"
	"limbround/db/dbtest"
	"limbround/geo"
	"limbround/scheduler"
)

func TestADeadlockIsRunAgain(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	list, err := d.Species(ctx)
	if err != nil {
		t.Fatal(err)
	}
	var runs atomic.Int32
	var meet sync.WaitGroup
	meet.Add(2)
	touch := func(tx pgx.Tx, code string) error {
		_, err := tx.Exec(ctx, `UPDATE species SET common = common || '.' WHERE code = $1`, code)
		return err
	}
	cross := func(first, second string) error {
		met := false
		return db.InTx(ctx, d, func(tx pgx.Tx) error {
			runs.Add(1)
			if err := touch(tx, first); err != nil {
				return err
			}
			if !met { // both hold their first row before either wants the other's
				met = true
				meet.Done()
				meet.Wait()
			}
			return touch(tx, second)
		})
	}
	var wg sync.WaitGroup
	for _, pair := range [][2]string{{list[0].Code, list[1].Code}, {list[1].Code, list[0].Code}} {
		wg.Go(func() {
			if err := cross(pair[0], pair[1]); err != nil {
				t.Errorf("transaction: %v", err)
			}
		})
	}
	wg.Wait()
	if runs.Load() < 3 {
		t.Errorf("%d runs: there was no deadlock to solve", runs.Load())
	}
	for _, s := range list[:2] {
		if got, err := d.SpeciesByCode(ctx, s.Code); err != nil || got.Common != s.Common+".." {
			t.Errorf("%s: %q, want both writes once (%v)", s.Code, got.Common, err)
		}
	}
}

func TestAFailedTransactionLeavesNothing(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	before := count(t, d, `SELECT count(*) FROM river_job`)
	want := scheduler.Errorf(scheduler.Stale, "changed since it was read")
	err := db.InTx(ctx, d, func(tx pgx.Tx) error {
		if _, err := d.EnqueueTx(ctx, tx, pruneArgs{"Mill Street"}); err != nil {
			t.Fatal(err)
		}
		return want
	})
	if !errors.Is(err, want) {
		t.Errorf("the cause is lost: %v", err)
	}
	if after := count(t, d, `SELECT count(*) FROM river_job`); after != before {
		t.Error("the job outlived its transaction")
	}
}

func TestRealRuleBreaches(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	for sql, want := range map[string]scheduler.Kind{
		`INSERT INTO city (id) VALUES (2)`: scheduler.Invalid,
		`INSERT INTO cron_run SELECT 'x', date '2026-01-01', now() FROM generate_series(1, 2)`: scheduler.Clash,
		`INSERT INTO crew_day_off (crew_id, day) VALUES (1, '2026-01-01')`:                     scheduler.Invalid,
		`INSERT INTO token (hash, actor, made_at) VALUES ('\x00', 'a', now())`:                 scheduler.Invalid,
		`SELECT 1 / 0`:          scheduler.Invalid,
		`SELECT no_such_column`: scheduler.Internal,
		`SELECT pg_terminate_backend(pg_backend_pid())`: scheduler.Unavailable,
	} {
		err := db.InTx(ctx, d, func(tx pgx.Tx) error {
			_, err := tx.Exec(ctx, sql)
			return err
		})
		if got := scheduler.KindOf(err); got != want {
			t.Errorf("%s: %s (%v), want %s", sql, got, err, want)
		}
	}
	query(t, d) // the pool recovers from the lost connection
}

func TestGeometryAndEnumsTravelBothWays(t *testing.T) {
	shape := geo.NewLine(26918, []geo.Point{{X: 583000, Y: 4507000}, {X: 583100, Y: 4507000}})
	for name, pooled := range map[string]bool{"direct": false, "behind a pooler": true} {
		t.Run(name, func(t *testing.T) {
			d, ctx := open(t, db.Config{URL: dbtest.URL(t), Pooled: pooled}), t.Context()
			err := db.InTx(ctx, d, func(tx pgx.Tx) error {
				var got geo.Shape
				var length float64
				err := tx.QueryRow(ctx, `SELECT g, ST_Length(g) FROM (SELECT $1::geometry AS g) x`, shape).Scan(&got, &length)
				if err != nil || length != 100 || got.SRID() != 26918 || !cmp.Equal(got.Points(), shape.Points()) {
					t.Errorf("geometry: %v %v %v", got, length, err)
				}
				var none geo.Shape
				if err := tx.QueryRow(ctx, `SELECT NULL::geometry`).Scan(&none); err != nil || !none.Empty() {
					t.Errorf("no geometry: %v", err)
				}
				var skills []scheduler.Skill
				want := []scheduler.Skill{"ground", "lift"}
				err = tx.QueryRow(ctx, `SELECT $1::crew_skill[]`, want).Scan(&skills)
				if err != nil || !cmp.Equal(skills, want) {
					t.Errorf("enums: %v %v", skills, err)
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
		})
	}
}

func TestUnreachableDatabase(t *testing.T) {
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	for url, want := range map[string]scheduler.Kind{
		"postgres://nobody@127.0.0.1:1/none":                               scheduler.Unavailable, // nothing listens there
		"postgres:///none?host=/nonexistent&user=nobody":                   scheduler.Unavailable,
		"postgres://host:notaport/name":                                    scheduler.Invalid,
		strings.Replace(dbtest.URL(t), "/limbround_test_", "/no_such_", 1): scheduler.Unavailable,
	} {
		_, err := db.Open(ctx, db.Config{URL: url})
		if got := scheduler.KindOf(err); got != want {
			t.Errorf("%s: %s (%v), want %s", url, got, err, want)
		}
	}
}

func TestAnAnalystSeesViewsAlone(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	plainSQL(t, d, `CREATE VIEW map_test AS SELECT name FROM city`)
	name := strings.Replace(dbName(t, d), "limbround_test_", "analyst_", 1) // roles are shared by the cluster's databases
	t.Cleanup(func() {
		for _, sql := range []string{`DROP OWNED BY limbround_reader`, `DROP ROLE ` + name} {
			if _, err := connect(t, d).Exec(context.Background(), sql); err != nil {
				t.Error(err)
			}
		}
	})
	for range 2 {
		if err := d.AddAnalyst(ctx, name, "correct horse battery", by); err != nil {
			t.Fatal(err)
		}
	}
	wantKind(t, d.AddAnalyst(ctx, name, "short", by), scheduler.Invalid)
	wantKind(t, d.AddAnalyst(ctx, "Robert'); --", "correct horse battery", by), scheduler.Invalid)
	wantKind(t, d.AddAnalyst(ctx, "limbround_reader", "correct horse battery", by), scheduler.Clash)

	c := connect(t, d)
	if _, err := c.Exec(ctx, `SET ROLE `+name); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Exec(ctx, `SELECT * FROM map_test`); err != nil {
		t.Errorf("a view is closed: %v", err)
	}
	for _, sql := range []string{`SELECT * FROM city`, `SELECT * FROM token`, `UPDATE map_test SET name = 'x'`, `CREATE TABLE mine ()`} {
		if _, err := c.Exec(ctx, sql); err == nil {
			t.Errorf("%s went through", sql)
		}
	}
}

func connect(t *testing.T, d *db.DB) *pgx.Conn {
	t.Helper()
	c, err := pgx.Connect(context.Background(), d.URL())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close(context.Background()) })
	return c
}

func dbName(t *testing.T, d *db.DB) (name string) {
	t.Helper()
	if err := connect(t, d).QueryRow(t.Context(), `SELECT current_database()`).Scan(&name); err != nil {
		t.Fatal(err)
	}
	return name
}
