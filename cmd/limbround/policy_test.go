package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The import policy of the house, as a statement rather than a habit. A parent
// never imports its child, the domain knows no I/O, and only this command knows
// everybody. Imports are parsed here, in the test's own process, so that a
// cached result can never hide a violation.

const module = "limbround/"

// mayImport lists, for each package, the packages of this project that it may
// import outside its tests. "x/..." stands for x and everything below it.
var mayImport = map[string][]string{
	"geo":                      {},
	"geo/road":                 {"geo"},
	"geo/file":                 {"geo"},
	"migrations":               {},
	"api/web":                  {},
	"api/cql":                  {},
	"scheduler":                {"geo"},
	"scheduler/growth":         {"scheduler", "geo"},
	"scheduler/due":            {"scheduler", "scheduler/growth", "geo"},
	"scheduler/year":           {"scheduler", "scheduler/growth", "scheduler/due", "geo"},
	"scheduler/city":           {"scheduler", "geo"},
	"scheduler/route":          {},
	"scheduler/crewday":        {"scheduler", "scheduler/route", "geo", "geo/road"},
	"scheduler/crewday/sheet":  {"scheduler", "scheduler/crewday", "geo"},
	"scheduler/published":      {}, // checks alone: no program code
	"scheduler/jobs":           {"scheduler/...", "geo/..."},
	"scheduler/jobs/storetest": {"scheduler/...", "geo/..."},
	"db":                       {"scheduler", "geo", "migrations"},
	"db/dbtest":                {"db", "migrations", "scheduler"},
	"db/dbtest/testcluster":    {"db", "db/dbtest"},
	"api":                      {"scheduler", "scheduler/due", "scheduler/crewday", "scheduler/crewday/sheet", "scheduler/jobs", "geo", "geo/file", "api/web", "api/cql"},
	"cmd/limbround":            {"..."},
	"deploy/chaosrun":          {}, // sees the program from outside alone
	"deploy/measurerun":        {},
}

// testsMayAlso lists what the tests of a package may import on top of it.
var testsMayAlso = map[string][]string{
	"scheduler/published": {"scheduler/...", "geo"},
	"db":                  {"db/dbtest", "scheduler/jobs/storetest", "scheduler/jobs", "scheduler/..."},
	"api":                 {"db/dbtest", "scheduler/jobs/storetest"},
	"cmd/limbround":       {"..."},
}

// onlyIn says which packages may import an outside library.
var onlyIn = map[string][]string{
	"github.com/jackc/pgx/":                {"db", "db/dbtest", "db/dbtest/testcluster"},
	"github.com/go-chi/":                   {"api"},
	"github.com/danielgtaylor/huma/":       {"api"},
	"github.com/twpayne/go-geom":           {"geo", "db"},
	"github.com/robfig/cron/":              {"scheduler/jobs"},
	"github.com/riverqueue/":               {"scheduler/jobs", "db"},
	"github.com/paulmach/osm":              {"geo/file"},
	"github.com/pressly/goose/":            {"db"},
	"github.com/alecthomas/kong":           {"cmd/limbround"},
	"github.com/prometheus/client_golang/": {"api", "cmd/limbround"},
}

func allowed(list []string, pkg string) bool {
	return slices.ContainsFunc(list, func(p string) bool {
		prefix, below := strings.CutSuffix(p, "...")
		return p == pkg || below && (strings.HasPrefix(pkg, prefix) || pkg+"/" == prefix)
	})
}

// eachGoFile calls fn for every Go file of the module with its package folder.
func eachGoFile(t *testing.T, fn func(name, dir string)) {
	t.Helper()
	root := os.DirFS("../..")
	n := 0
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && name != "." && strings.HasPrefix(d.Name(), ".") {
			return fs.SkipDir
		}
		if strings.HasSuffix(name, ".go") {
			n++
			fn(name, path.Dir(name))
		}
		return nil
	})
	if err != nil || n < 50 {
		t.Fatalf("walk module: %d files, %v", n, err)
	}
}

func TestImportsFollowThePolicy(t *testing.T) {
	root := os.DirFS("../..")
	eachGoFile(t, func(name, dir string) {
		src, err := fs.ReadFile(root, name)
		if err != nil {
			t.Fatal(err)
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, src, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		test := strings.HasSuffix(name, "_test.go")
		list, known := mayImport[dir]
		if !known {
			t.Errorf("%s: package %s is not in the policy", name, dir)
		}
		if test {
			list = append(slices.Clone(list), testsMayAlso[dir]...)
			list = append(list, dir) // an external test package
		}
		for _, imp := range f.Imports {
			p, _ := strconv.Unquote(imp.Path.Value)
			if own, ok := strings.CutPrefix(p, module); ok {
				if !allowed(list, own) {
					t.Errorf("%s imports %s: the policy does not allow it", name, own)
				}
				continue
			}
			for prefix, dirs := range onlyIn {
				if strings.HasPrefix(p, prefix) && !slices.Contains(dirs, dir) {
					t.Errorf("%s imports %s: only %v may", name, p, dirs)
				}
			}
		}
	})
}

// No file written by hand is longer than 500 lines, and the middle one has at
// most 120: a file that grows past that knows too much.
func TestFilesStaySmall(t *testing.T) {
	root := os.DirFS("../..")
	var sizes []int
	eachGoFile(t, func(name, _ string) {
		src, err := fs.ReadFile(root, name)
		if err != nil {
			t.Fatal(err)
		}
		n := strings.Count(string(src), "\n")
		if n > 500 {
			t.Errorf("%s has %d lines, more than 500", name, n)
		}
		if !strings.HasSuffix(name, "_test.go") {
			sizes = append(sizes, n)
		}
	})
	slices.Sort(sizes)
	if m := sizes[len(sizes)/2]; m > 120 {
		t.Errorf("the median file has %d lines, more than 120", m)
	}
}
