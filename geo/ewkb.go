package geo

import (
	"encoding/binary"
	"errors"
	"fmt"

	"github.com/twpayne/go-geom/encoding/ewkb"
)

// EWKB is the shape as extended well-known binary with its SRID, little-endian.
func (s Shape) EWKB() ([]byte, error) {
	if s.g == nil {
		return nil, fmt.Errorf("encode shape: it is empty")
	}
	return ewkb.Marshal(s.g, binary.LittleEndian)
}

// FromEWKB reads extended well-known binary. It fails on a damaged value; it
// never takes more memory than a few times the length of b.
func FromEWKB(b []byte) (Shape, error) {
	if _, err := skipEWKB(b, 0); err != nil {
		return Shape{}, fmt.Errorf("decode shape: %w", err)
	}
	g, err := ewkb.Unmarshal(b)
	if err != nil {
		return Shape{}, fmt.Errorf("decode shape: %w", err)
	}
	return Shape{g, g.SRID()}, nil
}

// Bits of the type code of extended well-known binary.
const (
	ewkbZ, ewkbM, ewkbSRID = 1 << 31, 1 << 30, 1 << 29
	deepestEWKB            = 1 // several points, lines or areas hold single ones
)

var (
	errShort = errors.New("it is cut short")
	errCode  = errors.New("it is no point, line or area")
)

// skipEWKB walks over one shape and answers the bytes behind it. The library
// makes room for as many vertices as a count says before it looks for them, so
// every count is held against the bytes that are there first.
func skipEWKB(b []byte, depth int) ([]byte, error) {
	if len(b) < 5 {
		return nil, errShort
	}
	if b[0] > 1 || depth > deepestEWKB {
		return nil, errCode
	}
	var order binary.ByteOrder = binary.BigEndian
	if b[0] == 1 {
		order = binary.LittleEndian
	}
	code := order.Uint32(b[1:])
	vertex := 16
	for _, bit := range []uint32{ewkbZ, ewkbM} {
		if code&bit != 0 {
			vertex += 8
		}
	}
	b = b[5:]
	if code&ewkbSRID != 0 {
		if len(b) < 4 {
			return nil, errShort
		}
		b = b[4:]
	}
	count := func() (n int, err error) {
		if len(b) < 4 {
			return 0, errShort
		}
		n, b = int(order.Uint32(b)), b[4:]
		return n, nil
	}
	vertices := func() error {
		n, err := count()
		if err != nil || n > len(b)/vertex {
			return errShort
		}
		b = b[n*vertex:]
		return nil
	}
	kind := code &^ (ewkbZ | ewkbM | ewkbSRID)
	switch kind {
	case 1: // point
		if len(b) < vertex {
			return nil, errShort
		}
		return b[vertex:], nil
	case 2: // line
		return b, vertices()
	case 3, 4, 5, 6: // area; several points, lines, areas
		n, err := count()
		for i := 0; err == nil && i < n; i++ {
			if kind == 3 {
				err = vertices()
			} else {
				b, err = skipEWKB(b, depth+1)
			}
		}
		return b, err
	}
	return nil, errCode
}
