//go:build linux

package db

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"limbround/scheduler"
)

// binaries are the PostgreSQL programs of one major version.
type binaries struct {
	dir   string
	major int
}

func (b binaries) path(name string) string { return filepath.Join(b.dir, name) }

// findBinaries picks the server programs: cfg.PGBin when given, else the
// major version that the data directory was made with, else the newest
// version that has PostGIS. Paths follow the Debian packages.
func findBinaries(cfg Config, pgdata string) (binaries, error) {
	return searchBinaries(cfg.PGBin, pgdata, "/usr/lib/postgresql", "/usr/share/postgresql")
}

func checkBinaries(cfg Config) Check {
	b, err := findBinaries(cfg, filepath.Join(cfg.DataDir, "pgdata"))
	return finding("binaries", b.dir, err)
}

func searchBinaries(override, pgdata, libRoot, shareRoot string) (binaries, error) {
	need, err := dataMajor(pgdata)
	if err != nil {
		return binaries{}, err
	}
	if override != "" {
		return overrideBinaries(override, need)
	}
	var all, withPostGIS []int
	dirs, _ := filepath.Glob(filepath.Join(libRoot, "*", "bin", "postgres"))
	for _, p := range dirs {
		n, err := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(p))))
		if err != nil || n < oldestMajor {
			continue
		}
		all = append(all, n)
		if _, err := os.Stat(filepath.Join(shareRoot, strconv.Itoa(n), "extension", "postgis.control")); err == nil {
			withPostGIS = append(withPostGIS, n)
		}
	}
	switch {
	case len(all) == 0:
		return binaries{}, missing("PostgreSQL is not installed", want(need))
	case need != 0 && !slices.Contains(all, need):
		return binaries{}, missing(fmt.Sprintf("the data in %s was made by PostgreSQL %d, which is not installed (found: %s)",
			pgdata, need, majors(all)), want(need))
	case need != 0 && !slices.Contains(withPostGIS, need):
		return binaries{}, missing(fmt.Sprintf("PostGIS is not installed for PostgreSQL %d", need), want(need))
	case len(withPostGIS) == 0:
		return binaries{}, missing("PostGIS is not installed for PostgreSQL "+majors(all), want(slices.Max(all)))
	}
	if need == 0 {
		need = slices.Max(withPostGIS)
	}
	return binaries{filepath.Join(libRoot, strconv.Itoa(need), "bin"), need}, nil
}

func overrideBinaries(dir string, need int) (binaries, error) {
	for _, name := range []string{"postgres", "initdb"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			return binaries{}, missing("there is no PostgreSQL program "+name+" in "+dir, want(need))
		}
	}
	major, _ := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Clean(dir)))) // 0 when the path does not tell
	if need != 0 && major != 0 && major != need {
		return binaries{}, missing(fmt.Sprintf("the data was made by PostgreSQL %d, but %s holds version %d", need, dir, major), want(need))
	}
	return binaries{dir, major}, nil
}

// dataMajor is the major version that made pgdata, 0 when it does not exist yet.
func dataMajor(pgdata string) (int, error) {
	b, err := os.ReadFile(filepath.Join(pgdata, "PG_VERSION"))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if entries, _ := os.ReadDir(pgdata); len(entries) > 0 {
			return 0, &scheduler.Error{
				Kind: scheduler.Unavailable, Message: pgdata + " is not empty and holds no PostgreSQL data",
				Hint: "choose another data directory",
			}
		}
		return 0, nil
	case err != nil:
		return 0, noData(pgdata, err)
	}
	n, err := strconv.Atoi(strings.TrimSpace(string(b)))
	if err != nil {
		return 0, noData(pgdata, fmt.Errorf("read PG_VERSION: %w", err))
	}
	return n, nil
}

func want(major int) int {
	if major == 0 {
		return oldestMajor
	}
	return major
}

func missing(message string, major int) error {
	return &scheduler.Error{
		Kind: scheduler.Unavailable, Message: message,
		Hint: fmt.Sprintf("install it (apt-get install postgresql-%d postgresql-%d-postgis-3), "+
			"or set DATABASE_URL to a server that has PostGIS; data of another major version moves by dump and restore", major, major),
	}
}

func majors(ns []int) string {
	slices.Sort(ns)
	s := make([]string, len(ns))
	for i, n := range ns {
		s[i] = strconv.Itoa(n)
	}
	return strings.Join(s, ", ")
}
