//go:build linux

package db_test

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"limbround/db"
	"limbround/scheduler"
)

func TestPrivateClusterColdWarmAndData(t *testing.T) {
	dir := clusterDir(t)
	cfg := db.Config{DataDir: dir, ThrowAway: true}
	began := time.Now()
	d, err := db.Open(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("cold start %s", time.Since(began).Round(time.Millisecond))
	if err := d.Migrate(t.Context(), by); err != nil {
		t.Fatal(err)
	}
	if err := d.SetCity(t.Context(), scheduler.City{Name: "Alder Falls", TimeZone: "UTC", Units: "us", FiscalMonth: 1}, by); err != nil {
		t.Fatal(err)
	}
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "pgdata", "postmaster.pid")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the server was not stopped cleanly: %v", err)
	}
	began = time.Now()
	d = open(t, cfg)
	t.Logf("warm start %s", time.Since(began).Round(time.Millisecond))
	if c, err := d.City(t.Context()); err != nil || c.Name != "Alder Falls" {
		t.Errorf("after the restart: %+v, %v", c, err)
	}
	for _, c := range d.Checks(t.Context(), time.Now()) {
		if !c.OK {
			t.Errorf("check %s: %s", c.Name, c.Detail)
		}
	}
	if n := count(t, d, `SELECT count(*) FROM pg_settings WHERE name = 'listen_addresses' AND setting <> ''`); n != 0 {
		t.Error("the private server listens on TCP")
	}
}

func TestASecondProcessAttachesAndLearnsTheEnd(t *testing.T) {
	dir := clusterDir(t)
	owner := startProcess(t, dir)
	owner.expect(t, "open")
	attached := open(t, db.Config{DataDir: dir})
	query(t, attached)
	second := startProcess(t, dir)
	second.expect(t, "open")

	if err := owner.in.Close(); err != nil {
		t.Fatal(err)
	}
	owner.expect(t, "closed")
	waitGone(t, attached)
	wantKind(t, attached.Ping(t.Context()), scheduler.Unavailable)
	second.expect(t, "gone")
	if err := second.cmd.Wait(); second.cmd.ProcessState.ExitCode() != 5 {
		t.Errorf("the attached process ended with %v", err)
	}
}

func TestManyProcessesStartAtOnceAndOneOwns(t *testing.T) {
	dir := clusterDir(t)
	var all []*process
	for range 4 {
		all = append(all, startProcess(t, dir))
	}
	for _, p := range all {
		p.expect(t, "open")
	}
}

func TestOwnerKilled(t *testing.T) {
	dir := clusterDir(t)
	owner := startProcess(t, dir)
	owner.expect(t, "open")
	attached := open(t, db.Config{DataDir: dir})
	pid := serverPid(t, dir)
	if err := owner.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = owner.cmd.Wait()
	// The next one may come while the orphan still shuts down.
	next := open(t, db.Config{DataDir: dir, ThrowAway: true})
	query(t, next)
	if !endsWithin(5*time.Second, pid) {
		t.Errorf("the server outlived its owner")
	}
	if serverPid(t, dir) == pid {
		t.Error("the orphan was adopted")
	}
	waitGone(t, attached)
}

func TestServerKilledUnderItsOwner(t *testing.T) {
	dir := clusterDir(t)
	d := open(t, db.Config{DataDir: dir, ThrowAway: true})
	if err := syscall.Kill(serverPid(t, dir), syscall.SIGQUIT); err != nil {
		t.Fatal(err)
	}
	waitGone(t, d)
	wantKind(t, d.Ping(t.Context()), scheduler.Unavailable)
}

func TestALongPathStillWorks(t *testing.T) {
	dir := filepath.Join(clusterDir(t), strings.Repeat("long-", 30))
	owner := startProcess(t, dir)
	owner.expect(t, "open")
	query(t, open(t, db.Config{DataDir: dir}))
}

func TestAForeignServerIsRefused(t *testing.T) {
	dir := clusterDir(t)
	d, err := db.Open(t.Context(), db.Config{DataDir: dir, ThrowAway: true})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	bins, err := filepath.Glob("/usr/lib/postgresql/*/bin/postgres")
	if err != nil || len(bins) == 0 {
		t.Fatal("no postgres binary", err)
	}
	foreign := exec.CommandContext(context.Background(), bins[len(bins)-1], "-D", filepath.Join(dir, "pgdata"), "-c", "listen_addresses=",
		"-c", "unix_socket_directories="+filepath.Join(dir, "socket"), "-c", "port=6999")
	foreign.SysProcAttr = asServerUser(t)
	foreign.Dir = "/"
	if err := foreign.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = foreign.Process.Signal(syscall.SIGINT); _ = foreign.Wait() }()
	for begin := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		if _, err := os.Stat(filepath.Join(dir, "socket", ".s.PGSQL.6999")); err == nil {
			break
		}
		if time.Since(begin) > 20*time.Second {
			t.Fatal("the foreign server does not start")
		}
	}
	_, err = db.Open(t.Context(), db.Config{DataDir: dir})
	wantKind(t, err, scheduler.Unavailable)
	if !strings.Contains(err.Error(), strconv.Itoa(foreign.Process.Pid)) {
		t.Errorf("the server is not named: %v", err)
	}
}

func TestUnusableDataDirectories(t *testing.T) {
	wrongMajor := clusterDir(t)
	notData := clusterDir(t)
	for path, text := range map[string]string{
		filepath.Join(wrongMajor, "pgdata", "PG_VERSION"): "9\n",
		filepath.Join(notData, "pgdata", "thesis.txt"):    "my only copy",
	} {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name, c := range map[string]struct {
		cfg  db.Config
		says string
	}{
		"wrong major":   {db.Config{DataDir: wrongMajor}, "PostgreSQL 9"},
		"not data":      {db.Config{DataDir: notData}, "holds no PostgreSQL data"},
		"no binaries":   {db.Config{DataDir: clusterDir(t), PGBin: "/nonexistent/bin"}, "/nonexistent/bin"},
		"relative path": {db.Config{DataDir: "data"}, "absolute"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := db.Open(t.Context(), c.cfg)
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Fatalf("got %v, want a text with %q", err, c.says)
			}
		})
	}
	if b, err := os.ReadFile(filepath.Join(notData, "pgdata", "thesis.txt")); err != nil || string(b) != "my only copy" {
		t.Errorf("a stranger's file was touched: %v", err)
	}
}
