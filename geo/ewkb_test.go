package geo

import (
	"encoding/hex"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var ewkbShapes = map[string]Shape{
	"point": NewPoint(32616, Point{X: 482_000.5, Y: 4_438_000}),
	"line":  NewLine(4326, []Point{{X: -87, Y: 40}, {X: -87.1, Y: 40.1}, {X: -87.2, Y: 40}}),
	"area": NewArea(3857, [][]Point{
		{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 9}, {X: 0, Y: 0}},
		{{X: 5, Y: 1}, {X: 6, Y: 1}, {X: 6, Y: 2}, {X: 5, Y: 1}},
	}),
	"areas": NewAreas(26918, [][][]Point{{{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 0}}}, {{{X: 3, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 1}, {X: 3, Y: 0}}}}),
}

func TestEWKBRoundTrip(t *testing.T) {
	for name, s := range ewkbShapes {
		b, err := s.EWKB()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		got, err := FromEWKB(b)
		if err != nil || got.SRID() != s.SRID() || !cmp.Equal(got.Points(), s.Points()) {
			t.Errorf("%s: %v (%d), %v", name, got.Points(), got.SRID(), err)
		}
		for n := range len(b) {
			if _, err := FromEWKB(b[:n]); err == nil {
				t.Errorf("%s: the first %d of %d bytes were read", name, n, len(b))
			}
		}
	}
	if _, err := (Shape{}).EWKB(); err == nil {
		t.Error("an empty shape was written")
	}
}

// Values as PostGIS writes them in the other byte order and with heights, and
// some that would ask for more memory than there is.
func TestEWKBOfOthers(t *testing.T) {
	for text, want := range map[string][]Point{
		"00000000013ff00000000000004000000000000000":                         {{X: 1, Y: 2}}, // big-endian, no SRID
		"01010000a0e6100000000000000000f03f00000000000000400000000000000840": {{X: 1, Y: 2}}, // with a height, 4326
		"0102000000ffffffff":                                     nil, // a line of 4 billion points
		"0103000000ffffff7f":                                     nil, // an area of 2 billion rings
		"0106000000ffffffff0103000000":                           nil,
		"010700000001000000010700000001000000010700000001000000": nil,
		"0163000000":                                             nil, // no such kind
		"0201000000000000000000f03f0000000000000040":             nil, // no such byte order
		"01010000": nil,
		"":         nil,
	} {
		b, err := hex.DecodeString(text)
		if err != nil {
			t.Fatal(err)
		}
		s, err := FromEWKB(b)
		if (err == nil) != (want != nil) || !cmp.Equal(s.Points(), want) {
			t.Errorf("%s: %v, %v; want %v", text, s.Points(), err, want)
		}
	}
}

// FuzzFromEWKB: whatever the bytes, there is a shape or an error; a shape that
// can be written reads back the same.
func FuzzFromEWKB(f *testing.F) {
	for _, s := range ewkbShapes {
		b, err := s.EWKB()
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
		f.Add(b[:len(b)-3])
	}
	for _, text := range []string{"0102000000ffffffff", "010700000001000000010700000000000000", "0101000020e6100000000000000000f87f000000000000f87f", "01020000c0000000000000"} {
		b, err := hex.DecodeString(text)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := FromEWKB(b)
		if err != nil {
			return
		}
		pts := s.Points()
		if len(pts) > len(b)/16 {
			t.Fatalf("%d points from %d bytes", len(pts), len(b))
		}
		again, err := s.EWKB()
		if err != nil {
			return
		}
		back, err := FromEWKB(again)
		same := cmp.Comparer(func(a, b float64) bool {
			return math.Float64bits(a) == math.Float64bits(b) || math.IsNaN(a) && math.IsNaN(b)
		})
		if err != nil || back.SRID() != s.SRID() || !cmp.Equal(back.Points(), pts, same) {
			t.Fatalf("read %v, written and read again %v, %v", pts, back.Points(), err)
		}
	})
}
