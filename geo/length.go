package geo

import (
	"database/sql/driver"
	"fmt"
	"math"
	"strconv"
)

// Length is a distance in whole millimetres. Every stored height, diameter,
// width and offset is a Length; conversion to and from other units happens at
// the edges only.
type Length int32

// None marks a length that nobody has recorded. Zero is a real length (a tree
// whose stem touches the walk edge), so absence needs a value of its own.
const None Length = -1

// Units in millimetres. Inch and foot are the international ones (exact).
const (
	Millimetre Length = 1
	Centimetre Length = 10
	Metre      Length = 1000
)

// Metres returns the length nearest to m metres.
func Metres(m float64) Length { return Length(math.Round(m * 1000)) }

// Centimetres returns the length nearest to cm centimetres.
func Centimetres(cm float64) Length { return Length(math.Round(cm * 10)) }

// Feet returns the length nearest to ft international feet (0.3048 m).
func Feet(ft float64) Length { return Length(math.Round(ft * 304.8)) }

// Inches returns the length nearest to in international inches (25.4 mm).
func Inches(in float64) Length { return Length(math.Round(in * 25.4)) }

// Known reports whether the length was recorded at all.
func (l Length) Known() bool { return l >= 0 }

// OrNone is l, or None for a length that is not positive: "not taken" on a
// form where zero cannot be measured.
func (l Length) OrNone() Length {
	if l <= 0 {
		return None
	}
	return l
}

// M is the length in metres.
func (l Length) M() float64 { return float64(l) / 1000 }

// CM is the length in centimetres.
func (l Length) CM() float64 { return float64(l) / 10 }

// Feet is the length in international feet.
func (l Length) Feet() float64 { return float64(l) / 304.8 }

// Inches is the length in international inches.
func (l Length) Inches() float64 { return float64(l) / 25.4 }

// String prints metres from one metre up and millimetres below, or "not recorded".
func (l Length) String() string {
	switch {
	case !l.Known():
		return "not recorded"
	case l < Metre:
		return fmt.Sprintf("%d mm", int32(l))
	default:
		return fmt.Sprintf("%.2f m", l.M())
	}
}

// Value stores millimetres, or NULL when the length is not recorded.
func (l Length) Value() (driver.Value, error) {
	if !l.Known() {
		return nil, nil
	}
	return int64(l), nil
}

// Scan reads a column of millimetres; NULL is None.
func (l *Length) Scan(src any) error {
	switch v := src.(type) {
	case nil:
		*l = None
	case int64:
		*l = Length(v)
	default:
		return fmt.Errorf("scan length: unexpected %T", src)
	}
	return nil
}

// MarshalJSON writes millimetres, or null when the length is not recorded.
func (l Length) MarshalJSON() ([]byte, error) {
	if !l.Known() {
		return []byte("null"), nil
	}
	return strconv.AppendInt(nil, int64(l), 10), nil
}

// UnmarshalJSON reads whole millimetres; null is None.
func (l *Length) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*l = None
		return nil
	}
	n, err := strconv.ParseInt(string(b), 10, 32)
	if err != nil {
		return fmt.Errorf("length %s: want whole millimetres", b)
	}
	*l = Length(n)
	return nil
}
