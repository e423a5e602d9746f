package file

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// csvReader reads delimited text with a header line.
type csvReader struct {
	source
	rec     recordReader
	columns []string
}

// Columns are the names in the header.
func (c *csvReader) Columns() []string { return c.columns }

// delimiters in the order in which a tie is broken.
const delimiters = ",;\t|"

func newCSVReader(src source, o Options) (Reader, error) {
	text, err := decode(src.buf, o.Encoding)
	if err != nil {
		return nil, err
	}
	delim := o.Delimiter
	if delim == 0 {
		if delim, err = detectDelimiter(text); err != nil {
			return nil, err
		}
	}
	if !strings.ContainsRune(delimiters, delim) {
		return nil, fmt.Errorf("delimiter %q is not comma, semicolon, tab or bar", delim)
	}
	c := &csvReader{source: src, rec: recordReader{src: text, delim: byte(delim)}}
	head, err := c.rec.next()
	if errors.Is(err, io.EOF) {
		return nil, errors.New("it is empty; the first line must name the columns")
	}
	if err != nil {
		return nil, fmt.Errorf("read header: %w", err)
	}
	if head.fault != "" {
		return nil, fmt.Errorf("read header: %s", head.fault)
	}
	c.columns, err = header(head.fields)
	if err != nil {
		return nil, err
	}
	return c, nil
}

// header trims the names, numbers the nameless ones and tells equal ones apart.
func header(fields []string) ([]string, error) {
	seen := map[string]int{}
	out := make([]string, len(fields))
	for i, f := range fields {
		f = strings.TrimSpace(f)
		switch {
		case !utf8.ValidString(f):
			return nil, fmt.Errorf(`the header is not UTF-8 at column %d (%q); say "encoding: cp1252" in the mapping if it comes from an old spreadsheet`, i+1, clip(f))
		case strings.ContainsRune(f, '\r'):
			return nil, errors.New("its lines end in bare carriage returns; save it with line feeds")
		case strings.ContainsRune(f, 0):
			return nil, errors.New(`the header holds zero bytes; if the text is UTF-16, say "encoding: utf-16" in the mapping`)
		case f == "":
			f = fmt.Sprintf("column %d", i+1)
		}
		key := strings.ToLower(f)
		seen[key]++
		if n := seen[key]; n > 1 {
			f = fmt.Sprintf("%s (%d)", f, n)
		}
		out[i] = f
	}
	return out, nil
}

// detectDelimiter looks at the first lines: the delimiter is the one that cuts
// most of them into the same number of fields as the header, and into the most.
func detectDelimiter(text *bufio.Reader) (rune, error) {
	peek, err := text.Peek(text.Size())
	if err != nil && !errors.Is(err, io.EOF) {
		return 0, fmt.Errorf("read text: %w", err)
	}
	lines := strings.SplitAfterN(string(peek), "\n", 21)
	if len(lines) > 1 {
		lines = lines[:len(lines)-1] // the last one may be cut off
	}
	best, bestScore := ',', 0
	for _, d := range delimiters {
		want, score := 0, 0
		for i, l := range lines {
			fields, _, _ := split(strings.TrimRight(l, "\r\n"), byte(d), nil)
			if i == 0 {
				want = len(fields)
			}
			if len(fields) == want {
				score += want - 1
			}
		}
		if score > bestScore {
			best, bestScore = d, score
		}
	}
	return best, nil
}

// Next returns the next row. A row with the wrong number of values or bad
// bytes comes with a Problem.
func (c *csvReader) Next() (Feature, error) {
	rec, err := c.rec.next()
	if errors.Is(err, io.EOF) {
		return Feature{}, io.EOF
	}
	if err != nil {
		return Feature{}, fmt.Errorf("read csv: %w", err)
	}
	f := Feature{Line: rec.line, Columns: c.columns, Values: rec.fields}
	if rec.fault != "" {
		f.problem("", "", rec.fault)
	}
	for len(f.Values) > len(c.columns) && strings.TrimSpace(f.Values[len(f.Values)-1]) == "" {
		f.Values = f.Values[:len(f.Values)-1] // trailing delimiters of a spreadsheet
	}
	if n := len(f.Values); n != len(c.columns) && rec.fault == "" {
		f.problem("", "", fmt.Sprintf("the row has %d values, the header names %d columns", n, len(c.columns)))
	}
	for i, v := range f.Values {
		name := ""
		if i < len(c.columns) {
			name = c.columns[i]
		}
		if !utf8.ValidString(v) {
			f.problem(name, v, `the text is not UTF-8; say "encoding: cp1252" in the mapping if it comes from an old spreadsheet`)
		}
		if strings.IndexByte(v, 0) >= 0 {
			f.problem(name, v, "the text holds a zero byte")
		}
		f.Values[i] = printable(v)
	}
	return f, nil
}

// printable replaces what a text column of a database cannot hold.
func printable(s string) string {
	return strings.ReplaceAll(strings.ToValidUTF8(s, "\ufffd"), "\x00", "\ufffd")
}
