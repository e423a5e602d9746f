// Package published holds the program's own figures, rules and starting
// policies against what has been published about the maintenance of street
// trees. The tables stand in testdata/published, each with its sources and with
// what was read and what is from memory. A missing or an extra row fails.
package published

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"limbround/geo"
)

const tables = "../../testdata/published"

// row is one line of a table by column.
type row struct {
	t      testing.TB
	fields map[string]string
}

func (r row) text(column string) string {
	r.t.Helper()
	s, ok := r.fields[column]
	if !ok {
		r.t.Fatalf("the table has no column %q", column)
	}
	return s
}

func (r row) has(column string) bool { return r.text(column) != "" }

func (r row) number(column string) float64 {
	r.t.Helper()
	f, err := strconv.ParseFloat(r.text(column), 64)
	if err != nil {
		r.t.Fatalf("%s of %v: %v", column, r.fields, err)
	}
	return f
}

func (r row) whole(column string) int { return int(r.number(column)) }

// length reads a length in the row's own unit.
func (r row) length(column string) geo.Length {
	r.t.Helper()
	switch f := r.number(column); r.text("unit") {
	case "in":
		return geo.Inches(f)
	case "ft":
		return geo.Feet(f)
	case "cm":
		return geo.Centimetres(f)
	default:
		return geo.Metres(f)
	}
}

// table reads a table and holds its number of rows: a row that was lost or added
// is a mistake until somebody says otherwise here.
func table(t testing.TB, name string, rows int) []row {
	t.Helper()
	return file(t, filepath.Join(tables, name+".csv"), rows)
}

func file(t testing.TB, name string, rows int) []row {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines)-1 != rows {
		t.Fatalf("%s has %d rows, want %d", name, len(lines)-1, rows)
	}
	out := make([]row, 0, rows)
	for _, line := range lines[1:] {
		f := make(map[string]string, len(line))
		for i, v := range line {
			f[lines[0][i]] = v
		}
		out = append(out, row{t, f})
	}
	return out
}

// figures reads a table of single figures by their names.
func figures(t testing.TB, name string, rows int) map[string]row {
	t.Helper()
	out := map[string]row{}
	for _, r := range table(t, name, rows) {
		if _, twice := out[r.text("figure")]; twice {
			t.Errorf("%s gives %q twice", name, r.text("figure"))
		}
		out[r.text("figure")] = r
	}
	return out
}

func near(got, want, within float64) bool { return math.Abs(got-want) <= within }

// Every table says where its figures come from and which of them were read.
func TestTablesNameTheirSources(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(tables, "*.csv"))
	if err != nil || len(files) != 26 {
		t.Fatalf("%d tables, want 26 (%v)", len(files), err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		text := string(b)
		head, body, _ := strings.Cut(text, "\n# status: ")
		if !strings.HasPrefix(head, "# source: ") || body == "" {
			t.Errorf("%s does not begin with its source and status", name)
			continue
		}
		status, _, _ := strings.Cut(body, "\n")
		byRow := strings.HasPrefix(status, "by row")
		if !byRow && !slices.ContainsFunc([]string{"read", "from memory", "derived", "positions from memory"}, func(w string) bool { return strings.HasPrefix(status, w) }) {
			t.Errorf("%s: status %q", name, status)
		}
		if strings.Contains(text, "://") {
			t.Errorf("%s holds an address", name)
		}
		for i, line := range strings.Split(strings.TrimSpace(text), "\n") {
			if !byRow || i < 4 { // three comments and the names of the columns
				continue
			}
			if i == 4 && strings.HasPrefix(line, "#") || !strings.HasSuffix(line, ",read") && !strings.HasSuffix(line, ",from memory") && !strings.HasSuffix(line, ",derived") {
				t.Errorf("%s: %q has no status", name, line)
			}
		}
	}
}
