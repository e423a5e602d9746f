//go:build linux

package db

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"limbround/scheduler"
)

// fakeInstall lays out the directories of the Debian packages.
func fakeInstall(t *testing.T, postgres, postgis []string) (lib, share string) {
	t.Helper()
	lib, share = filepath.Join(t.TempDir(), "lib"), filepath.Join(t.TempDir(), "share")
	touch := func(parts ...string) {
		path := filepath.Join(parts...)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, nil, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for _, v := range postgres {
		touch(lib, v, "bin", "postgres")
	}
	for _, v := range postgis {
		touch(share, v, "extension", "postgis.control")
	}
	return lib, share
}

func TestSearchBinaries(t *testing.T) {
	for _, c := range []struct {
		name              string
		postgres, postgis []string
		data              string // PG_VERSION, empty for a new directory
		want              int
		says              string
	}{
		{"newest with PostGIS", []string{"15", "16", "17"}, []string{"15", "16"}, "", 16, ""},
		{"the data's own version", []string{"15", "16"}, []string{"15", "16"}, "15", 15, ""},
		{"numbers, not words", []string{"9", "15", "16"}, []string{"9", "15"}, "", 15, ""},
		{"nothing", nil, nil, "", 0, "apt-get install postgresql-15 postgresql-15-postgis-3"},
		{"no PostGIS", []string{"16"}, nil, "", 0, "postgresql-16-postgis-3"},
		{"the data's version is missing", []string{"16"}, []string{"16"}, "15", 0, "made by PostgreSQL 15"},
		{"its PostGIS is missing", []string{"15", "16"}, []string{"16"}, "15", 0, "PostGIS is not installed for PostgreSQL 15"},
		{"too old", []string{"14"}, []string{"14"}, "", 0, "not installed"},
	} {
		t.Run(c.name, func(t *testing.T) {
			lib, share := fakeInstall(t, c.postgres, c.postgis)
			pgdata := t.TempDir()
			if c.data != "" {
				if err := os.WriteFile(filepath.Join(pgdata, "PG_VERSION"), []byte(c.data+"\n"), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			b, err := searchBinaries("", pgdata, lib, share)
			if c.want != 0 {
				if err != nil || b.major != c.want {
					t.Fatalf("got %d, %v; want %d", b.major, err, c.want)
				}
				return
			}
			var e *scheduler.Error
			if !errors.As(err, &e) || e.Kind != scheduler.Unavailable || !strings.Contains(e.Message+e.Hint, c.says) {
				t.Fatalf("got %v, want Unavailable with %q", err, c.says)
			}
		})
	}
}

func TestStartFailureNamesTheCause(t *testing.T) {
	for said, hint := range map[string]string{
		"FATAL:  could not write lock file: No space left on device":                       "free space",
		"FATAL:  database files are incompatible ... initialized by PostgreSQL version 14": "dump and restore",
		"FATAL:  could not create shared memory segment":                                   "shared_buffers",
		"LOG:  could not bind IPv4 address \"127.0.0.1\": in use":                          "another server",
	} {
		var e *scheduler.Error
		if err := startFailure("postgres", said, errors.New("exit status 1")); !errors.As(err, &e) || !strings.Contains(e.Hint, hint) {
			t.Errorf("%q: hint %q, want %q", said, e.Hint, hint)
		}
	}
}

func TestSocketDirFallsBack(t *testing.T) {
	who, err := serverUser("")
	if err != nil {
		t.Fatal(err)
	}
	short := t.TempDir()
	dir, temporary, err := makeSocketDir(short, who, "")
	if err != nil || temporary || dir != filepath.Join(short, "socket") {
		t.Errorf("short path: %s %v %v", dir, temporary, err)
	}
	long := filepath.Join(short, strings.Repeat("x", 100))
	dir, temporary, err = makeSocketDir(long, who, "")
	if err != nil || !temporary || len(dir)+len("/.s.PGSQL.5432") > socketLimit {
		t.Errorf("long path: %s %v %v", dir, temporary, err)
	}
	fi, err := os.Stat(dir)
	if err != nil || fi.Mode().Perm() != 0o700 {
		t.Errorf("the directory is open to others: %v %v", fi.Mode(), err)
	}
	if err := os.Remove(dir); err != nil {
		t.Error(err)
	}
}

func TestCanReachNamesTheDirectoryInTheWay(t *testing.T) {
	dir := t.TempDir() // 0700 above it
	u := sysUser{name: "someone", uid: 65534, gid: 65534, drop: true}
	err := u.canReach(dir)
	if err == nil || !strings.Contains(err.Error(), "someone may not enter") {
		t.Fatalf("got %v", err)
	}
}
