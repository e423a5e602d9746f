package file

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
)

// CSVWriter writes rows as comma-separated UTF-8 text (RFC 4180), one at a
// time. Rows may hold string, int, int64, float64, bool, nil and any
// fmt.Stringer; nil and the empty string are an empty field.
type CSVWriter struct {
	w   *csv.Writer
	n   int
	row []string
}

// NewCSVWriter writes the header and returns the writer. Call Close at the
// end; a failed write of the header shows there or at the next Write.
func NewCSVWriter(w io.Writer, columns []string) *CSVWriter {
	c := &CSVWriter{w: csv.NewWriter(w), n: len(columns), row: make([]string, len(columns))}
	_ = c.w.Write(columns) // csv.Writer keeps its first error and returns it from Flush
	return c
}

// Write adds one row; it must have as many values as there are columns.
func (c *CSVWriter) Write(values []any) error {
	if len(values) != c.n {
		return fmt.Errorf("write csv: %d values for %d columns", len(values), c.n)
	}
	for i, v := range values {
		s, err := text(v)
		if err != nil {
			return fmt.Errorf("write csv: %w", err)
		}
		c.row[i] = s
	}
	if err := c.w.Write(c.row); err != nil {
		return fmt.Errorf("write csv: %w", err)
	}
	return nil
}

// Close flushes what is buffered. It does not close the underlying writer.
func (c *CSVWriter) Close() error {
	c.w.Flush()
	if err := c.w.Error(); err != nil {
		return fmt.Errorf("write csv: %w", err)
	}
	return nil
}

// text prints a value so that reading it back gives the same value.
func text(v any) (string, error) {
	switch v := v.(type) {
	case nil:
		return "", nil
	case string:
		return v, nil
	case int:
		return strconv.Itoa(v), nil
	case int64:
		return strconv.FormatInt(v, 10), nil
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64), nil
	case bool:
		return strconv.FormatBool(v), nil
	case fmt.Stringer:
		return v.String(), nil
	}
	return "", fmt.Errorf("a value of type %T has no text form", v)
}
