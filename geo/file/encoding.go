package file

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// decode returns the text of src as UTF-8 without a byte order mark. UTF-8 is
// not converted and may still hold bad bytes; the row they stand in is named
// later.
func decode(src *bufio.Reader, e Encoding) (*bufio.Reader, error) {
	head, err := src.Peek(4)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("read text: %w", err)
	}
	marked16 := bytes.HasPrefix(head, []byte{0xff, 0xfe}) || bytes.HasPrefix(head, []byte{0xfe, 0xff})
	switch e {
	case "", UTF8:
		if marked16 {
			return nil, errors.New(`the text is UTF-16; say "encoding: utf-16" in the mapping`)
		}
		if bytes.HasPrefix(head, []byte(bom)) {
			if _, err := src.Discard(len(bom)); err != nil {
				return nil, fmt.Errorf("read text: %w", err)
			}
		}
		return src, nil
	case UTF16:
		d := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
		if !marked16 {
			d = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
		}
		return bufio.NewReaderSize(d.NewDecoder().Reader(src), 1<<16), nil
	case CP1252:
		if bytes.HasPrefix(head, []byte(bom)) {
			return nil, errors.New(`the text starts with the mark of UTF-8, but the mapping says "encoding: cp1252"`)
		}
		return bufio.NewReaderSize(charmap.Windows1252.NewDecoder().Reader(src), 1<<16), nil
	}
	return nil, fmt.Errorf("encoding %q is not one of utf-8, utf-16, cp1252", e)
}
