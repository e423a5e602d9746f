//go:build linux

package db_test

import (
	"context"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/db"
	"limbround/scheduler"
)

// A server that dies under a running query makes that query Unavailable at
// once, and the same pool serves again when the server is back.
func TestServerGoneInMidRequestAndBack(t *testing.T) {
	for name, sig := range map[string]syscall.Signal{"killed": syscall.SIGQUIT, "stopped": syscall.SIGINT} {
		t.Run(name, func(t *testing.T) {
			dir := clusterDir(t)
			first := startProcess(t, dir)
			first.expect(t, "open")
			url := open(t, db.Config{DataDir: dir}).URL()
			d := open(t, db.Config{URL: url, MaxConns: 4}) // a server given by URL: nobody watches it

			asleep := make(chan struct{})
			failure := make(chan error, 1)
			go func() {
				failure <- db.InTx(context.Background(), d, func(tx pgx.Tx) error {
					if _, err := tx.Exec(context.Background(), `SELECT 1`); err != nil {
						return err
					}
					close(asleep)
					_, err := tx.Exec(context.Background(), `SELECT pg_sleep(120)`)
					return err
				})
			}()
			<-asleep
			if err := syscall.Kill(serverPid(t, dir), sig); err != nil {
				t.Fatal(err)
			}
			select {
			case err := <-failure:
				wantKind(t, err, scheduler.Unavailable)
			case <-time.After(20 * time.Second):
				t.Fatal("the query hangs although its server is gone")
			}
			first.expect(t, "gone")
			wantKind(t, d.Ping(t.Context()), scheduler.Unavailable)

			second := startProcess(t, dir)
			second.expect(t, "open")
			query(t, d)
			if n := count(t, d, `SELECT 1`); n != 1 {
				t.Errorf("after the server is back a query answers %d", n)
			}
		})
	}
}
