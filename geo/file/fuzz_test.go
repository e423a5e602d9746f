package file

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// readAll drives a reader over bytes; it must end, and every feature must be
// printable as JSON.
func readAll(t *testing.T, open func(source, Options) (Reader, error), b []byte, o Options) []Feature {
	buf := bufio.NewReader(bytes.NewReader(b))
	r, err := open(source{buf: buf, count: &counter{}, close: func() error { return nil }}, o)
	if err != nil {
		return nil
	}
	var out []Feature
	for {
		f, err := r.Next()
		if err != nil {
			if !errors.Is(err, io.EOF) && err.Error() == "" {
				t.Error("an error without words")
			}
			return out
		}
		if len(out) > len(b)+1 {
			t.Fatal("more features than bytes")
		}
		if !json.Valid(f.JSON()) {
			t.Fatalf("feature is not JSON: %s", f.JSON())
		}
		if len(f.Problems) == 0 && len(f.Values) != len(f.Columns) {
			t.Fatalf("%d values for %d columns and no problem", len(f.Values), len(f.Columns))
		}
		for _, v := range f.Values {
			if !utf8.ValidString(v) || strings.IndexByte(v, 0) >= 0 {
				t.Fatalf("value %q is no text", v)
			}
		}
		out = append(out, f)
	}
}

func FuzzCSV(f *testing.F) {
	for _, s := range []string{"a,b\n1,2\n", "a;b\n\"x;\"\"y\"\"\";2", "a\n\"", "\ufeffa|b\n\n1|\"2\n3\"|4\n", "a,b\n1,\"2\"x,3\n", "\"\n\n\"\n,"} {
		f.Add([]byte(s), uint8(0))
	}
	f.Fuzz(func(t *testing.T, b []byte, e uint8) {
		o := Options{Encoding: []Encoding{UTF8, UTF16, CP1252}[e%3]}
		last := 0
		for _, x := range readAll(t, newCSVReader, b, o) {
			if x.Line <= last {
				t.Fatalf("line %d after line %d", x.Line, last)
			}
			last = x.Line
		}
	})
}

// What the writer writes, the reader reads.
func FuzzCSVRoundTrip(f *testing.F) {
	f.Add("a", "b")
	f.Add("x\n\"", " ,; ")
	f.Fuzz(func(t *testing.T, a, b string) {
		for _, s := range []string{a, b} {
			if !utf8.ValidString(s) || strings.ContainsAny(s, "\x00\r") || strings.Count(s, "\n") > 10 || len(s) > 1000 {
				return // not text, or line ends that CSV does not keep apart
			}
		}
		var out bytes.Buffer
		w := NewCSVWriter(&out, []string{"one", "two"})
		if err := errors.Join(w.Write([]any{a, b}), w.Close()); err != nil {
			t.Fatal(err)
		}
		fs := readAll(t, newCSVReader, out.Bytes(), Options{Delimiter: ','})
		if len(fs) != 1 || !slices.Equal(fs[0].Values, []string{a, b}) {
			t.Fatalf("wrote %q, %q as %q, read %v", a, b, out.String(), fs)
		}
	})
}

func FuzzGeoJSON(f *testing.F) {
	for _, s := range []string{
		onePoint, `{"type":"FeatureCollection","features":[` + onePoint + `]}`, "\x1e" + onePoint, `{"features":[{}]}`,
		feature(`{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]}`), `{"a":"\ud800"}`, `[]`, `{"features":[null,1]}`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) { readAll(t, newGeoJSONReader, b, Options{}) })
}

// The member walk must agree with the standard decoder on every object.
func FuzzObject(f *testing.F) {
	f.Add([]byte(`{"a":1,"b":[{"c":"}"}],"d":"\"\\","e":null}`))
	f.Add([]byte(` { } `))
	f.Fuzz(func(t *testing.T, b []byte) {
		var want map[string]json.RawMessage
		if !json.Valid(b) || json.Unmarshal(b, &want) != nil || !utf8.Valid(b) {
			return
		}
		got := map[string]json.RawMessage{}
		object(b, func(name string, v []byte) { got[name] = slices.Clone(v) })
		if len(got) != len(want) {
			t.Fatalf("%d members, want %d", len(got), len(want))
		}
		for k, v := range want {
			if !bytes.Equal(got[k], v) {
				t.Fatalf("member %q is %s, want %s", k, got[k], v)
			}
		}
	})
}

func FuzzStreetTags(f *testing.F) {
	f.Add("residential", "35 mph", `11'6"`, "8 st", "2", "-1")
	f.Add("service", "none", "1e400", ".", "two", "yes")
	f.Fuzz(func(t *testing.T, highway, speed, height, weight, lanes, oneway string) {
		tags := map[string]string{
			"highway": highway, "maxspeed": speed, "maxheight": height, "width": height,
			"maxweight": weight, "lanes": lanes, "oneway": oneway,
		}
		values, ok := streetTags(func(k string) string { return tags[k] })
		if ok && len(values) != len(streetColumns)-1 {
			t.Fatalf("%d values for %d columns", len(values), len(streetColumns))
		}
		for i, v := range values {
			if c := streetColumns[i+1]; c == "speed_kmh" || strings.HasSuffix(c, "_mm") || strings.HasSuffix(c, "_kg") {
				if strings.Trim(v, "0123456789") != "" {
					t.Fatalf("%s is %q, not a whole number", c, v)
				}
			}
		}
	})
}

func FuzzOSM(f *testing.F) {
	const way = `<way id="7"><nd ref="1"/><nd ref="2"/><nd ref="1"/><tag k="highway" v="residential"/></way>`
	f.Add([]byte(`<osm><node id="1" lat="1" lon="2"/><node id="2" lat="3" lon="4"/>` + way + `</osm>`))
	f.Add([]byte(`<osm>` + way + `</osm>`))
	f.Fuzz(func(t *testing.T, b []byte) {
		fs := readAll(t, func(source, Options) (Reader, error) {
			return newOSMReader(seeker{bytes.NewReader(b)}, formatOSM, Options{})
		}, b, Options{})
		for _, x := range fs {
			if len(x.Problems) == 0 && len(x.Shape.Points()) < 2 && strings.HasPrefix(x.Value("ref"), "way/") {
				t.Fatalf("block %s has no line and no problem", x.Value("ref"))
			}
		}
	})
}

type seeker struct{ *bytes.Reader }

func (seeker) Close() error { return nil }
