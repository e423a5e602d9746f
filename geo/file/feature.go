// Package file turns bytes into rows and rows into bytes: CSV, GeoJSON,
// newline-delimited GeoJSON and OpenStreetMap extracts. Readers stream: memory
// stays bounded however long the file is. They give text as it stands in the
// file; what a value means is decided elsewhere.
package file

import (
	"bytes"
	"strconv"
	"strings"

	"limbround/geo"
)

// Reader gives the features of a file in order. Next returns io.EOF after the
// last one; any other error means that the rest cannot be read. A single bad
// row is no error: its Feature carries Problems.
type Reader interface {
	Next() (Feature, error)
	// Columns are the names of all columns when the file has fixed ones, nil
	// when each feature brings its own.
	Columns() []string
	// Progress is how much has been read, of how much in all; the unit is the
	// reader's own (bytes, or ways of a street extract).
	Progress() (done, total int64)
	Close() error
}

// Feature is one row of a file. Columns may be shared between features; it is
// never changed after the reader has handed it out.
type Feature struct {
	Line     int       // line of a CSV file, from 1 (the header); else the number of the feature, from 1
	Columns  []string  // names as the file has them
	Values   []string  // one for each column; empty for null and absent
	Shape    geo.Shape // empty when the file or the row has none
	Problems []Problem // why the row cannot be used as it is
}

// Problem is what is wrong with one row of a file.
type Problem struct {
	Field, Value, Rule string
}

// Value returns the text of the named column; the name is compared without
// case. It is empty when there is no such column.
func (f *Feature) Value(column string) string {
	for i, c := range f.Columns {
		if strings.EqualFold(c, column) && i < len(f.Values) {
			return f.Values[i]
		}
	}
	return ""
}

func (f *Feature) problem(field, value, rule string) {
	f.Problems = append(f.Problems, Problem{field, clip(value), rule})
}

// clip keeps a value short enough to print beside its rule.
func clip(s string) string {
	if len(s) > 80 {
		return strings.ToValidUTF8(s[:80], "?") + "..."
	}
	return strings.ToValidUTF8(s, "?")
}

// Encoding is the character encoding of a text file.
type Encoding string

// The encodings. Only UTF-8 is ever assumed.
const (
	UTF8   Encoding = "utf-8"
	UTF16  Encoding = "utf-16" // byte order from the mark; little-endian without one
	CP1252 Encoding = "cp1252"
)

// Options say what cannot be seen from the file itself. The zero Options suit
// UTF-8 files.
type Options struct {
	Delimiter rune     // of a CSV file, 0 to detect it among comma, semicolon, tab and bar
	Encoding  Encoding // empty for UTF-8
	SRID      int      // of GeoJSON positions when they are not longitude and latitude; 0 for 4326
	Box       *Box     // keep only streets with a vertex inside, nil for all
}

// Box is a rectangle in longitude and latitude.
type Box struct {
	MinLon, MinLat, MaxLon, MaxLat float64
}

func (b *Box) contains(lon, lat float64) bool {
	return b == nil || lon >= b.MinLon && lon <= b.MaxLon && lat >= b.MinLat && lat <= b.MaxLat
}

// JSON is the feature as one flat JSON object, for a person to find the row
// again: the columns in order and, when it is short, the geometry.
func (f *Feature) JSON() []byte {
	b := []byte{'{'}
	for i, c := range f.Columns {
		if i < len(f.Values) {
			b = append(appendString(b, c), ':')
			b = append(appendString(b, f.Values[i]), ',')
		}
	}
	for i := len(f.Columns); i < len(f.Values); i++ { // a row with too many values
		b = append(appendString(b, "column "+strconv.Itoa(i+1)), ':')
		b = append(appendString(b, f.Values[i]), ',')
	}
	if !f.Shape.Empty() && f.Shape.SRID() == 4326 && len(f.Shape.Points()) <= 20 {
		b = append(b, `"geometry":`...)
		b, _ = appendGeometry(b, f.Shape) // it cannot fail: the shape is not empty and in 4326
		b = append(b, ',')
	}
	return append(bytes.TrimSuffix(b, []byte(",")), '}')
}
