package published

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The table in DEVELOPERS.md names every table of published figures, and only
// tests that exist; every test here that reads a table stands in it.
func TestDevelopersTable(t *testing.T) {
	doc, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, part, found := strings.Cut(string(doc), "| published | table | checks |\n|---|---|---|\n")
	part, _, _ = strings.Cut(part, "\n\n")
	if !found {
		t.Fatal("DEVELOPERS.md has no table of checks")
	}
	here, growthTests := testsIn(t, "."), testsIn(t, "../growth")
	var named, tabled []string
	for _, line := range strings.Split(part, "\n") {
		cells := strings.Split(strings.Trim(line, "| "), " | ")
		if len(cells) != 3 {
			t.Fatalf("row %q", line)
		}
		for _, name := range strings.Split(cells[1], ", ") {
			tabled = append(tabled, filepath.Base(name))
		}
		ours, theirs, _ := strings.Cut(cells[2], "; growth: ")
		for _, name := range strings.Split(ours, ", ") {
			named = append(named, name)
			if !slices.Contains(here, name) {
				t.Errorf("%s names %s, which is no test here", cells[0], name)
			}
		}
		for _, name := range strings.Split(theirs, ", ") {
			if name != "" && !slices.Contains(growthTests, name) {
				t.Errorf("%s names %s, which is no test of growth", cells[0], name)
			}
		}
	}
	files, err := filepath.Glob(filepath.Join(tables, "*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if name := strings.TrimSuffix(filepath.Base(f), ".csv"); !slices.Contains(tabled, name) {
			t.Errorf("%s is not in the table of DEVELOPERS.md", name)
		}
	}
	for _, name := range here {
		if name != "TestDevelopersTable" && name != "TestTablesNameTheirSources" && !slices.Contains(named, name) {
			t.Errorf("%s is not in the table of DEVELOPERS.md", name)
		}
	}
	if len(tabled) != len(files)+1 { // and the growth curves' own
		t.Errorf("%d tables named, %d there", len(tabled), len(files)+1)
	}
}

var testName = regexp.MustCompile(`(?m)^func (Test\w+)\(t \*testing\.T\)`)

// testsIn lists the names of the tests of a package.
func testsIn(t *testing.T, dir string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*_test.go"))
	if err != nil || len(files) == 0 {
		t.Fatalf("tests of %s: %v", dir, err)
	}
	var out []string
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range testName.FindAllSubmatch(b, -1) {
			out = append(out, string(m[1]))
		}
	}
	return out
}
