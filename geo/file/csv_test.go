package file

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
)

func TestCSVReadsRows(t *testing.T) {
	for name, tc := range map[string]struct {
		text    string
		o       Options
		columns []string
		rows    [][]string
		lines   []int
	}{
		"plain":     {"a,b\n1,2\n3,4\n", Options{}, []string{"a", "b"}, [][]string{{"1", "2"}, {"3", "4"}}, []int{2, 3}},
		"mark":      {"\ufeffa,b\r\n1,2\r\n", Options{}, []string{"a", "b"}, [][]string{{"1", "2"}}, []int{2}},
		"semicolon": {"a;b;c\n1,5;2,5;x, y\n2,5;3;z\n", Options{}, []string{"a", "b", "c"}, [][]string{{"1,5", "2,5", "x, y"}, {"2,5", "3", "z"}}, []int{2, 3}},
		"tab":       {"a\tb\n1\t2, 3\n", Options{}, []string{"a", "b"}, [][]string{{"1", "2, 3"}}, []int{2}},
		"bar":       {"a|b\n1|2\n", Options{}, []string{"a", "b"}, [][]string{{"1", "2"}}, []int{2}},
		"stated":    {"a,b;c\n1,2;3\n", Options{Delimiter: ';'}, []string{"a,b", "c"}, [][]string{{"1,2", "3"}}, []int{2}},
		"quotes": {
			"a,b\n\"x, \"\"y\"\"\",\"two\nlines\"\n6\" pot,z\n",
			Options{},
			[]string{"a", "b"},
			[][]string{{`x, "y"`, "two\nlines"}, {`6" pot`, "z"}},
			[]int{2, 4},
		},
		"blank lines":        {"a,b\n\n1,2\n   \n3,4", Options{}, []string{"a", "b"}, [][]string{{"1", "2"}, {"3", "4"}}, []int{3, 5}},
		"trailing delimiter": {"a,b\n1,2,,\n", Options{}, []string{"a", "b"}, [][]string{{"1", "2"}}, []int{2}},
		"names": {
			"a,,A, b \n1,2,3,4\n",
			Options{},
			[]string{"a", "column 2", "A (2)", "b"},
			[][]string{{"1", "2", "3", "4"}},
			[]int{2},
		},
		"empty field":  {"a,b\n,\"\"\n", Options{}, []string{"a", "b"}, [][]string{{"", ""}}, []int{2}},
		"one column":   {"a\nx\n", Options{}, []string{"a"}, [][]string{{"x"}}, []int{2}},
		"no last line": {"a,b\n1,\"2\"", Options{}, []string{"a", "b"}, [][]string{{"1", "2"}}, []int{2}},
	} {
		t.Run(name, func(t *testing.T) {
			fs := mustAll(t, write(t, "t.csv", tc.text), tc.o)
			var rows [][]string
			var lines []int
			for _, f := range fs {
				if len(f.Problems) > 0 {
					t.Errorf("line %d: %v", f.Line, f.Problems)
				}
				if d := cmp.Diff(tc.columns, f.Columns); d != "" {
					t.Error(d)
				}
				rows, lines = append(rows, f.Values), append(lines, f.Line)
			}
			if d := cmp.Diff(tc.rows, rows); d != "" {
				t.Error(d)
			}
			if d := cmp.Diff(tc.lines, lines); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestCSVNamesBadRows(t *testing.T) {
	for name, tc := range map[string]struct {
		text string
		line int
		rule string
		good int // rows without a problem
	}{
		"too few":               {"a,b\n1\n3,4\n", 2, "the row has 1 values, the header names 2 columns", 1},
		"too many":              {"a,b\n1,2,3\n3,4\n", 2, "the row has 3 values", 1},
		"not UTF-8":             {"a,b\n1,b\xe4r\n3,4\n", 2, "not UTF-8", 1},
		"zero byte":             {"a,b\n1,b\x00r\n3,4\n", 2, "zero byte", 1},
		"after quote":           {"a,b\n\"1\"x,2\n3,4\n", 2, "text follows a closing quote", 1},
		"unclosed quote":        {"a,b\n\"1,2\n" + strings.Repeat("3,4\n", 200), 2, "opened and not closed", 200},
		"closed by a later row": {"a,b\n\"1,2\n3,\"4\"\n5,6\n", 2, "opened and not closed", 2},
		"quote at end":          {"a,b\n3,4\n1,\"2\n", 3, "opened and not closed", 1},
	} {
		t.Run(name, func(t *testing.T) {
			good, found := 0, false
			for _, f := range mustAll(t, write(t, "t.csv", tc.text), Options{}) {
				if len(f.Problems) == 0 {
					good++
					continue
				}
				if f.Line != tc.line || !strings.Contains(f.Problems[0].Rule, tc.rule) {
					t.Errorf("line %d: %v, want line %d: %s", f.Line, f.Problems, tc.line, tc.rule)
				}
				found = true
			}
			if !found || good != tc.good {
				t.Errorf("problem found %v, %d good rows, want %d", found, good, tc.good)
			}
		})
	}
}

func TestCSVEncodings(t *testing.T) {
	want := [][]string{{"Hauptstraße 3", "Kätzchen – “süß”"}}
	utf16le := "\xff\xfe"
	for _, u := range utf16.Encode([]rune("a,b\n" + strings.Join(want[0], ",") + "\n")) {
		utf16le += string([]byte{byte(u), byte(u >> 8)})
	}
	for name, tc := range map[string]struct {
		text string
		o    Options
	}{
		"cp1252": {"a,b\nHauptstra\xdfe 3,K\xe4tzchen \x96 \x93s\xfc\xdf\x94\n", Options{Encoding: CP1252}},
		"utf-16": {utf16le, Options{Encoding: UTF16}},
		"utf-8":  {"a,b\nHauptstraße 3,Kätzchen – “süß”\n", Options{Encoding: UTF8}},
	} {
		t.Run(name, func(t *testing.T) {
			var rows [][]string
			for _, f := range mustAll(t, write(t, "t.csv", tc.text), tc.o) {
				rows = append(rows, f.Values)
			}
			if d := cmp.Diff(want, rows); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestOpenRefuses(t *testing.T) {
	long := "a,b\n" + strings.Repeat("x", maxLine+2) + "\n"
	for name, tc := range map[string]struct {
		file, text string
		o          Options
		want       string
	}{
		"empty":            {"t.csv", "", Options{}, "empty"},
		"utf-16 unsaid":    {"t.csv", "\xff\xfea\x00", Options{}, `say "encoding: utf-16"`},
		"utf-8 as cp1252":  {"t.csv", "\ufeffa,b\n", Options{Encoding: CP1252}, "mark of UTF-8"},
		"zip":              {"t.csv", "PK\x03\x04xx", Options{}, "ZIP archive"},
		"gzip":             {"t.csv", "\x1f\x8bxx", Options{}, "compressed"},
		"geopackage":       {"t.gpkg", "SQLite format 3\x00", Options{}, "GeoPackage"},
		"html":             {"t.csv", "<html>", Options{}, "XML or HTML"},
		"header encoding":  {"t.csv", "a,stra\xdfe\n", Options{}, "header is not UTF-8"},
		"carriage returns": {"t.csv", "a,b\r1,2\r3,4\r", Options{}, "bare carriage returns"},
		"delimiter":        {"t.csv", "a,b\n", Options{Delimiter: 'x'}, "delimiter 'x'"},
		"encoding":         {"t.csv", "a,b\n", Options{Encoding: "ebcdic"}, "ebcdic"},
		"not osm":          {"t.pbf", "abc", Options{}, "not OpenStreetMap"},
		"long line":        {"t.csv", long, Options{}, "line 2 is longer than"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := all(t, write(t, tc.file, tc.text), tc.o)
			if err == nil || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("got %v, want %q", err, tc.want)
			}
		})
	}
	if _, err := Open(t.TempDir(), Options{}); err == nil || !strings.Contains(err.Error(), "directory") {
		t.Errorf("a directory: %v", err)
	}
}

func TestCSVProgressReachesTheSize(t *testing.T) {
	var b strings.Builder
	b.WriteString("a,b\n")
	for i := range 50_000 {
		fmt.Fprintf(&b, "%d,%d\n", i, i*i)
	}
	r, err := Open(write(t, "t.csv", b.String()), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	half := int64(0)
	for n := 0; ; n++ {
		if _, err := r.Next(); err != nil {
			break
		}
		if n == 25_000 {
			half, _ = r.Progress()
		}
	}
	done, total := r.Progress()
	if done != total || total != int64(b.Len()) || half < total/4 || half > total*3/4+1<<18 {
		t.Errorf("progress %d, then %d of %d", half, done, total)
	}
}
