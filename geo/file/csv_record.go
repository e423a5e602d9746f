package file

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Records of delimited text, after RFC 4180 with two leniencies that real
// exports need:
//
//   - a quote inside a field that does not start with one is plain text
//     (`6" caliper`);
//   - a quoted field that is never closed costs its own line only. A quoted
//     field may run over several lines, but when it has not closed within
//     maxRecordLines the first line becomes a bad record and reading goes on
//     with the second. A plain reader would swallow the rest of the file.
const (
	maxRecordLines = 64
	maxLine        = 1 << 20
)

type recordReader struct {
	src   *bufio.Reader
	delim byte
	back  []string // lines read ahead and given back, next first
	line  int      // number of the last line taken
}

// record is one row: its first line, its fields and what is wrong with it.
type record struct {
	line   int
	fields []string
	fault  string
}

// takeLine returns the next line without its end.
func (r *recordReader) takeLine() (string, error) {
	if len(r.back) > 0 {
		s := r.back[0]
		r.back = r.back[1:]
		r.line++
		return s, nil
	}
	var b []byte
	for {
		part, err := r.src.ReadSlice('\n')
		b = append(b, part...)
		if len(b) > maxLine {
			return "", fmt.Errorf("line %d is longer than %d bytes", r.line+1, maxLine)
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			continue
		}
		if err != nil && (!errors.Is(err, io.EOF) || len(b) == 0) {
			return "", err
		}
		break
	}
	r.line++
	return strings.TrimSuffix(strings.TrimSuffix(string(b), "\n"), "\r"), nil
}

// next returns the next record that is not blank, or io.EOF.
func (r *recordReader) next() (record, error) {
	text, err := r.takeLine()
	for err == nil && strings.TrimSpace(text) == "" {
		text, err = r.takeLine()
	}
	if err != nil {
		return record{}, err
	}
	rec := record{line: r.line}
	var more []string
	for {
		fields, open, fault := split(text, r.delim, rec.fields[:0])
		if !open && (fault == "" || len(more) == 0) {
			rec.fields, rec.fault = fields, fault
			return rec, nil
		}
		if !open { // it closed at a quote of a later row
			break
		}
		line, err := "", io.EOF
		if len(more) < maxRecordLines && len(text) < maxLine {
			line, err = r.takeLine()
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return record{}, err
		}
		more = append(more, line)
		text += "\n" + line
	}
	r.back = append(more, r.back...)
	r.line -= len(more)
	first, _, _ := strings.Cut(text, "\n")
	rec.fields, _, _ = split(first, r.delim, nil)
	rec.fault = "a quote is opened and not closed"
	return rec, nil
}

// split cuts one record into fields. open reports that the last field is
// quoted and not closed yet.
func split(s string, delim byte, fields []string) (out []string, open bool, fault string) {
	for {
		if !strings.HasPrefix(s, `"`) {
			field, rest, found := cutByte(s, delim)
			fields = append(fields, field)
			if !found {
				return fields, false, fault
			}
			s = rest
			continue
		}
		field, rest, closed := unquote(s[1:])
		if !closed {
			return append(fields, field), true, fault
		}
		if rest != "" && rest[0] != delim {
			tail, after, found := cutByte(rest, delim)
			fault = "text follows a closing quote; a quote inside a quoted field is written twice"
			field += tail
			rest = ""
			if found {
				rest = string(delim) + after
			}
		}
		fields = append(fields, field)
		if rest == "" {
			return fields, false, fault
		}
		s = rest[1:]
	}
}

// unquote reads up to the closing quote; two quotes stand for one.
func unquote(s string) (field, rest string, closed bool) {
	var b strings.Builder
	for {
		i := strings.IndexByte(s, '"')
		if i < 0 {
			return b.String() + s, "", false
		}
		if i+1 >= len(s) || s[i+1] != '"' {
			if b.Len() == 0 {
				return s[:i], s[i+1:], true
			}
			return b.String() + s[:i], s[i+1:], true
		}
		b.WriteString(s[:i+1])
		s = s[i+2:]
	}
}

func cutByte(s string, sep byte) (before, after string, found bool) {
	if i := strings.IndexByte(s, sep); i >= 0 {
		return s[:i], s[i+1:], true
	}
	return s, "", false
}
