//go:build linux

package db_test

import (
	"fmt"
	"net"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/db"
)

func TestAnalystComesInByPasswordAndTheRoleOfTheServerDoesNot(t *testing.T) {
	l, err := new(net.ListenConfig).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := l.Addr().(*net.TCPAddr).Port
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	d := open(t, db.Config{DataDir: clusterDir(t), ThrowAway: true, AnalystPort: port})
	if err := d.Migrate(ctx, by); err != nil {
		t.Fatal(err)
	}
	plainSQL(t, d, `CREATE VIEW map_test AS SELECT name FROM city`)
	if err := d.AddAnalyst(ctx, "ines", "correct horse battery", by); err != nil {
		t.Fatal(err)
	}
	for login, want := range map[string]bool{
		"ines:correct%20horse%20battery":      true,
		"ines:wrong":                          false,
		"limbround:correct%20horse%20battery": false,
		"limbround":                           false,
	} {
		c, err := pgx.Connect(ctx, fmt.Sprintf("postgres://%s@127.0.0.1:%d/limbround?sslmode=disable", login, port))
		if (err == nil) != want {
			t.Errorf("%s: %v", login, err)
		}
		if err != nil {
			continue
		}
		if _, err := c.Exec(ctx, `SELECT * FROM map_test`); err != nil {
			t.Error(err)
		}
		if _, err := c.Exec(ctx, `SELECT * FROM tree`); err == nil {
			t.Error("a table is open to an analyst")
		}
		if err := c.Close(ctx); err != nil {
			t.Error(err)
		}
	}
}

func TestDoctor(t *testing.T) {
	dir := clusterDir(t)
	find := func(now time.Time) map[string]db.Check {
		found := map[string]db.Check{}
		for _, c := range db.Doctor(t.Context(), db.Config{DataDir: dir, ThrowAway: true}, now) {
			found[c.Name] = c
		}
		return found
	}
	fresh := find(time.Now())
	for name, ok := range map[string]bool{"binaries": true, "data directory": true, "connect": true, "postgis": false, "schema": false} {
		if c := fresh[name]; c.Name == "" || c.OK != ok {
			t.Errorf("new cluster: %s: %+v, want ok %v", name, c, ok)
		}
	}
	if fresh["schema"].Hint == "" {
		t.Error("no hint how to get a schema")
	}
	d := open(t, db.Config{DataDir: dir, ThrowAway: true})
	if err := d.Migrate(t.Context(), by); err != nil {
		t.Fatal(err)
	}
	for name, c := range find(time.Now()) { // attaches: d owns the server
		if !c.OK && name != "disk space" {
			t.Errorf("migrated: %+v", c)
		}
	}
	if c := find(time.Now().Add(2 * time.Hour))["clock"]; c.OK || c.Hint == "" {
		t.Errorf("a clock two hours off: %+v", c)
	}
	bad := db.Doctor(t.Context(), db.Config{URL: "postgres://nobody@127.0.0.1:1/none"}, time.Now())
	if len(bad) != 1 || bad[0].OK || bad[0].Hint == "" {
		t.Errorf("unreachable: %+v", bad)
	}
}
