package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/db/dbtest"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// asProgram makes the test binary be the program itself, for tests that need
// a process of its own.
const asProgram = "LIMBROUND_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	os.Exit(m.Run())
}

// program runs verbs on one database of the test's own, at the time that its
// clock shows.
type program struct {
	t     testing.TB
	url   string
	clock time.Time
}

// newProgram starts in the morning of a day, in a city on Eastern time.
func newProgram(t testing.TB, year int, month time.Month, day int) *program {
	t.Helper()
	p := &program{t: t, url: dbtest.URL(t)}
	p.day(scheduler.NewDate(year, month, day))
	p.ok("settings", "--time-zone", "America/Indiana/Indianapolis", "--units", "us", "--emergency", "911",
		"--hospital", "Larkin General, 12 Weir Street (invented)", "--utility-phone", "555 0100 (invented)")
	return p
}

// day sets the clock to eight in the morning, Eastern standard time.
func (p *program) day(d scheduler.Date) {
	p.clock = time.Date(d.Year(), d.Month(), d.Day(), 13, 0, 0, 0, time.UTC)
}

func (p *program) now() time.Time { return p.clock }

// run runs a verb and answers its exit code and what it wrote.
func (p *program) run(args ...string) (code int, out, errOut string) {
	p.t.Helper()
	return p.runIn("", args...)
}

func (p *program) runIn(in string, args ...string) (code int, out, errOut string) {
	p.t.Helper()
	var o, e bytes.Buffer
	args = append([]string{"--database-url", p.url, "--actor", "tester"}, args...)
	code = run(p.t.Context(), args, strings.NewReader(in), &o, &e, p.now)
	return code, o.String(), e.String()
}

// ok runs a verb that has to succeed, and answers its output.
func (p *program) ok(args ...string) string {
	p.t.Helper()
	code, out, errOut := p.run(args...)
	if code != exitOK {
		p.t.Fatalf("limbround %s: exit %d\n%s%s", strings.Join(args, " "), code, out, errOut)
	}
	return out
}

// json runs a verb with --json and reads its one value.
func (p *program) json(into any, args ...string) {
	p.t.Helper()
	if err := oneJSON(p.ok(append(args, "--json")...), into); err != nil {
		p.t.Fatalf("limbround %s: %v", strings.Join(args, " "), err)
	}
}

// oneJSON reads exactly one JSON value.
func oneJSON(s string, into any) error {
	d := json.NewDecoder(strings.NewReader(s))
	if err := d.Decode(into); err != nil {
		return fmt.Errorf("%w in %.200q", err, s)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return fmt.Errorf("something follows the JSON value: %.200q", s)
	}
	return nil
}

// layerOrder is the order in which a new city is loaded.
func layerOrder() []string {
	var names []string
	for _, l := range scheduler.Layers() {
		names = append(names, l.Name)
	}
	return names
}

// load imports one layer and holds the sums against each other.
func (p *program) load(layer, file string, more ...string) jobs.ImportResult {
	p.t.Helper()
	var r jobs.ImportResult
	p.json(&r, append([]string{"import", layer, file}, more...)...)
	if r.Read != r.Accepted+r.Rejected || r.Accepted != r.New+r.Changed+r.Unchanged+r.Merged || r.Read == 0 || r.Batch == 0 {
		p.t.Errorf("import %s: the sums do not agree: %+v", layer, r)
	}
	if (r.RejectsFile != "") != (r.Rejected > 0) {
		p.t.Errorf("import %s: %d rejected, rejects file %q", layer, r.Rejected, r.RejectsFile)
	}
	p.t.Logf("import %s: read %d = accepted %d + rejected %d; new %d, changed %d, unchanged %d, merged %d",
		layer, r.Read, r.Accepted, r.Rejected, r.New, r.Changed, r.Unchanged, r.Merged)
	return r
}

// query reads the database beside the program.
func (p *program) query(sql string, args ...any) []string {
	p.t.Helper()
	return dbtest.Query(p.t, p.url, sql, args...)
}

func (p *program) number(sql string, args ...any) int {
	p.t.Helper()
	n, err := strconv.Atoi(p.query("SELECT ("+sql+")::text", args...)[0])
	if err != nil {
		p.t.Fatal(err)
	}
	return n
}

// none fails when the statement finds anything.
func (p *program) none(what, sql string, args ...any) {
	p.t.Helper()
	if rows := p.query(sql, args...); len(rows) > 0 {
		p.t.Errorf("%s: %d, such as %v", what, len(rows), rows[:min(5, len(rows))])
	}
}

func (p *program) dump(except ...string) map[string][]string {
	p.t.Helper()
	return dbtest.Dump(p.t, p.url, except...)
}

// sameRows fails, naming the tables and a few rows, when two dumps differ.
func sameRows(t testing.TB, what string, before, after map[string][]string) {
	t.Helper()
	var names []string
	for name := range before {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		if d := cmp.Diff(before[name], after[name]); d != "" {
			t.Errorf("%s: table %s (-before +after), %d and %d rows:\n%.1500s", what, name, len(before[name]), len(after[name]), d)
		}
	}
}

// golden holds a text against a file under testdata/byhand/golden.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join(byHand, "golden", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s (-want +got); run with -update when the change is meant:\n%s", path, d)
	}
}

// writeJSON puts a value into a file of the test's own.
func writeJSON(t testing.TB, v any) string {
	t.Helper()
	b, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "value.json")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// layerFile is the file of a layer in a city's directory.
func layerFile(t *testing.T, dir, layer string) string {
	t.Helper()
	f, err := cityFile(dir, layer)
	if err != nil {
		t.Fatal(err)
	}
	return f
}
