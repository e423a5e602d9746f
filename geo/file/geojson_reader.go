package file

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// geojsonReader streams features out of a FeatureCollection, or out of one
// feature a line. The collection is walked token by token; only one feature is
// ever held.
type geojsonReader struct {
	source
	take    func() (json.RawMessage, error) // raw text of the next feature
	srid    int
	n       int
	columns []string // of the last feature
}

// Columns is nil: each feature has its own properties.
func (g *geojsonReader) Columns() []string { return nil }

// newGeoJSONReader decides between the two forms by the first line: a whole
// object of type Feature on it means newline-delimited.
func newGeoJSONReader(src source, o Options) (Reader, error) {
	if o.Encoding != "" && o.Encoding != UTF8 {
		return nil, fmt.Errorf("GeoJSON is always UTF-8; take encoding %q out of the mapping", o.Encoding)
	}
	text, err := decode(src.buf, UTF8)
	if err != nil {
		return nil, err
	}
	g := &geojsonReader{source: src, srid: o.SRID}
	if g.srid == 0 {
		g.srid = 4326
	}
	peek, err := text.Peek(text.Size())
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("read text: %w", err)
	}
	first := bytes.TrimLeft(peek, " \t\r\n\x1e")
	first, _, _ = bytes.Cut(first, []byte("\n"))
	if json.Valid(first) && typeOf(first) == "Feature" {
		g.take = (&featureLines{src: text}).next
		return g, nil
	}
	c := &collection{dec: json.NewDecoder(text), srid: o.SRID}
	g.take = c.next
	return g, nil
}

func typeOf(raw []byte) string {
	kind := ""
	object(raw, func(name string, v []byte) {
		if name == "type" {
			kind = plain(v)
		}
	})
	return kind
}

// Next returns the next feature. A feature with a bad geometry comes with a
// Problem; broken JSON inside a collection ends the reading, since nothing
// after it can be trusted.
func (g *geojsonReader) Next() (Feature, error) {
	raw, err := g.take()
	if errors.Is(err, io.EOF) {
		return Feature{}, io.EOF
	}
	g.n++
	f := Feature{Line: g.n}
	var bad badLine
	if errors.As(err, &bad) {
		f.Columns, f.Values = []string{"line"}, []string{printable(string(bad))}
		f.problem("", string(bad), "the line is not a GeoJSON feature")
		return f, nil
	}
	if err != nil {
		return Feature{}, fmt.Errorf("read geojson: feature %d: %w", g.n, err)
	}
	g.fill(&f, raw)
	return f, nil
}

func (g *geojsonReader) fill(f *Feature, raw json.RawMessage) {
	var kind string
	var props, shape, id []byte
	object(raw, func(name string, v []byte) {
		switch name {
		case "type":
			kind = plain(v)
		case "properties":
			props = v
		case "geometry":
			shape = v
		case "id":
			id = v
		}
	})
	if kind != "Feature" {
		f.problem("", kind, `the member "type" of a feature must be "Feature"`)
	}
	f.Columns = g.columns[:0:0]
	object(props, func(name string, v []byte) {
		f.Columns = append(f.Columns, name)
		f.Values = append(f.Values, plain(v))
	})
	if len(id) > 0 && !slices.Contains(f.Columns, "id") {
		f.Columns = append(f.Columns, "id")
		f.Values = append(f.Values, plain(id))
	}
	if slices.Equal(f.Columns, g.columns) {
		f.Columns = g.columns // shared, so that callers can tell by identity that nothing changed
	} else {
		g.columns = f.Columns
	}
	for i, v := range f.Values {
		if strings.IndexByte(v, 0) >= 0 {
			f.problem(f.Columns[i], v, "the text holds a zero byte")
			f.Values[i] = printable(v)
		}
	}
	s, err := shapeOf(shape, g.srid)
	if err != nil {
		f.problem("geometry", string(shape), err.Error())
		return
	}
	f.Shape = s
}

// badLine is a line of a newline-delimited file that is no JSON; the lines
// after it can still be read.
type badLine string

func (b badLine) Error() string { return "not JSON: " + clip(string(b)) }

// featureLines gives one feature a line, with or without the record
// separators of RFC 8142.
type featureLines struct{ src *bufio.Reader }

func (l *featureLines) next() (json.RawMessage, error) {
	for {
		b, err := l.src.ReadBytes('\n')
		b = bytes.Trim(b, " \t\r\n\x1e")
		switch {
		case len(b) > 0 && (err == nil || errors.Is(err, io.EOF)):
			if !json.Valid(b) {
				return nil, badLine(b)
			}
			return b, nil
		case err != nil:
			return nil, err
		}
	}
}
