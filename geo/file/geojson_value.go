package file

import (
	"bytes"
	"encoding/json"
	"strings"
)

// object walks the members of a JSON object that is known to be well formed
// (a json.RawMessage), in order, and calls member with each name and the raw
// text of its value. It does nothing when raw is no object.
func object(raw []byte, member func(name string, value []byte)) {
	i := space(raw, 0)
	if i >= len(raw) || raw[i] != '{' {
		return
	}
	i = space(raw, i+1)
	for i < len(raw) && raw[i] == '"' {
		end := skipString(raw, i)
		name := str(raw[i:end])
		i = space(raw, end)
		i = space(raw, i+1) // the colon
		end = skipValue(raw, i)
		member(name, raw[i:end])
		i = space(raw, end)
		if i < len(raw) && raw[i] == ',' {
			i = space(raw, i+1)
		}
	}
}

func space(b []byte, i int) int {
	for i < len(b) && (b[i] == ' ' || b[i] == '\n' || b[i] == '\t' || b[i] == '\r') {
		i++
	}
	return i
}

// skipString returns the index after the string that starts at i.
func skipString(b []byte, i int) int {
	for i++; i < len(b); i++ {
		switch b[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
	return len(b)
}

// skipValue returns the index after the value that starts at i.
func skipValue(b []byte, i int) int {
	depth := 0
	for i < len(b) {
		switch c := b[i]; c {
		case '"':
			i = skipString(b, i)
			if depth == 0 {
				return i
			}
			continue
		case '{', '[':
			depth++
		case '}', ']':
			if depth == 0 {
				return i
			}
			if depth--; depth == 0 {
				return i + 1
			}
		case ',':
			if depth == 0 {
				return i
			}
		case ' ', '\n', '\t', '\r':
			if depth == 0 {
				return i
			}
		}
		i++
	}
	return i
}

// str decodes a quoted JSON string.
func str(q []byte) string {
	if len(q) >= 2 && bytes.IndexByte(q, '\\') < 0 {
		return strings.ToValidUTF8(string(q[1:len(q)-1]), "\ufffd")
	}
	var s string
	if json.Unmarshal(q, &s) != nil {
		return string(q)
	}
	return s
}

// plain is a JSON value as the text of a table: strings without quotes,
// numbers exactly as written, null empty, arrays and objects as JSON.
func plain(raw []byte) string {
	switch {
	case len(raw) == 0 || string(raw) == "null":
		return ""
	case raw[0] == '"':
		return str(raw)
	case raw[0] == '{' || raw[0] == '[':
		var b bytes.Buffer
		if json.Compact(&b, raw) == nil {
			return strings.ToValidUTF8(b.String(), "\ufffd")
		}
	}
	return string(raw)
}
