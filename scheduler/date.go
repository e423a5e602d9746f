package scheduler

import (
	"database/sql/driver"
	"fmt"
	"strconv"
	"time"
)

// Date is a civil date: a day on the wall calendar of the city, without a clock
// or a zone. It counts days since 1 January of year 1, so the zero Date means
// "no date" and ordinary comparison orders dates.
type Date int32

const unixEpochDays = 719162 // days from 0001-01-01 to 1970-01-01

// NewDate returns the date of the given year, month and day; out-of-range days
// carry over as in time.Date.
func NewDate(year int, month time.Month, day int) Date {
	return DateOf(time.Date(year, month, day, 0, 0, 0, 0, time.UTC))
}

// DateOf returns the civil date shown by t in t's own zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	u := time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix()
	return Date(floorDiv(u, 86400) + unixEpochDays)
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// ParseDate reads a date written YYYY-MM-DD.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return 0, Errorf(Invalid, "date %q: want YYYY-MM-DD, a day that exists", s)
	}
	return DateOf(t), nil
}

// Time returns midnight UTC at the start of d.
func (d Date) Time() time.Time { return time.Unix((int64(d)-unixEpochDays)*86400, 0).UTC() }

// IsZero reports whether d means "no date".
func (d Date) IsZero() bool { return d == 0 }

// Year returns the year of the date.
func (d Date) Year() int { return d.Time().Year() }

// Month returns the month of the date.
func (d Date) Month() time.Month { return d.Time().Month() }

// Day returns the day of the month, 1 to 31.
func (d Date) Day() int { return d.Time().Day() }

// Weekday returns the day of the week.
func (d Date) Weekday() time.Weekday { return d.Time().Weekday() }

// AddDays returns the date n days later.
func (d Date) AddDays(n int) Date { return d + Date(n) }

// AddMonths returns the date n months later; a day the month does not have
// becomes its last day.
func (d Date) AddMonths(n int) Date {
	t := d.Time()
	first := time.Date(t.Year(), t.Month()+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return NewDate(first.Year(), first.Month(), min(t.Day(), last))
}

// AddYears returns the date n years later (29 February becomes 28 February).
func (d Date) AddYears(n int) Date { return d.AddMonths(12 * n) }

// Monday returns the Monday of d's week.
func (d Date) Monday() Date { return d - (Date(d.Weekday())+6)%7 }

// YearsTo is the span from d to e in years of 365.2425 days; negative when e is earlier.
func (d Date) YearsTo(e Date) float64 { return float64(e-d) / 365.2425 }

// String prints YYYY-MM-DD, or the empty string for no date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return d.Time().Format(time.DateOnly)
}

// MarshalText writes YYYY-MM-DD, or nothing for no date.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads YYYY-MM-DD; empty text is no date.
func (d *Date) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = 0
		return nil
	}
	v, err := ParseDate(string(b))
	if err != nil {
		return err
	}
	*d = v
	return nil
}

// MarshalJSON writes "YYYY-MM-DD", or null for no date.
func (d Date) MarshalJSON() ([]byte, error) {
	if d.IsZero() {
		return []byte("null"), nil
	}
	return strconv.AppendQuote(nil, d.String()), nil
}

// UnmarshalJSON reads "YYYY-MM-DD"; null and the empty string are no date.
func (d *Date) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*d = 0
		return nil
	}
	text, err := strconv.Unquote(string(b))
	if err != nil {
		return Errorf(Invalid, "date %s: want YYYY-MM-DD in quotes", b)
	}
	return d.UnmarshalText([]byte(text))
}

// Value stores the date as a time, or NULL for no date.
func (d Date) Value() (driver.Value, error) {
	if d.IsZero() {
		return nil, nil
	}
	return d.Time(), nil
}

// Scan reads a date column; NULL is no date.
func (d *Date) Scan(src any) error {
	switch v := src.(type) {
	case nil:
		*d = 0
	case time.Time:
		*d = DateOf(v)
	case string:
		return d.UnmarshalText([]byte(v))
	default:
		return fmt.Errorf("scan date: unexpected %T", src)
	}
	return nil
}
