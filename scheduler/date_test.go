package scheduler

import (
	"encoding/json"
	"testing"
	"time"
)

func TestDateArithmetic(t *testing.T) {
	day := func(s string) Date {
		d, err := ParseDate(s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	for _, c := range []struct{ got, want string }{
		{day("2028-02-29").AddYears(1).String(), "2029-02-28"},
		{day("2026-01-31").AddMonths(1).String(), "2026-02-28"},
		{day("2026-01-31").AddMonths(-2).String(), "2025-11-30"},
		{day("2026-12-31").AddDays(1).String(), "2027-01-01"},
		{day("2026-11-25").Monday().String(), "2026-11-23"}, // a Wednesday
		{day("2026-11-22").Monday().String(), "2026-11-16"}, // a Sunday
		{Date(0).String(), ""},
		{NewDate(2026, time.March, 0).String(), "2026-02-28"},
	} {
		if c.got != c.want {
			t.Errorf("%s, want %s", c.got, c.want)
		}
	}
	if got := day("1970-01-01").Time(); !got.Equal(time.Unix(0, 0)) {
		t.Errorf("the epoch is %s", got)
	}
	// The date that a clock shows, not the one in Greenwich.
	if got := DateOf(time.Date(2026, 11, 25, 23, 30, 0, 0, time.FixedZone("west", -6*3600))); got != day("2026-11-25") {
		t.Errorf("late in the evening it is %s", got)
	}
}

// FuzzDate: text is a day that exists, written the same way again, or is
// refused as invalid; JSON and plain text agree.
func FuzzDate(f *testing.F) {
	for _, s := range []string{"2026-11-25", "2028-02-29", "2027-02-29", "0001-01-01", "9999-12-31", "0000-01-01", "", "2026-1-5", "2026-11-25T00:00:00Z", "\u0662\u0660\u0662\u0666-01-01", "-001-01-01"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		var plain, quoted Date
		err := plain.UnmarshalText([]byte(s))
		b, jsonErr := json.Marshal(s)
		if jsonErr != nil {
			t.Fatal(jsonErr)
		}
		if err2 := json.Unmarshal(b, &quoted); (err == nil) != (err2 == nil) || plain != quoted {
			t.Fatalf("%q: %v as text, %v in JSON (%v, %v)", s, plain, quoted, err, err2)
		}
		if err != nil {
			if KindOf(err) != Invalid {
				t.Fatalf("%q: %v", s, err)
			}
			return
		}
		if plain.String() != s && !plain.IsZero() {
			t.Fatalf("%q was read as %s", s, plain)
		}
		if got := NewDate(plain.Year(), plain.Month(), plain.Day()); got != plain || plain.AddDays(1)-plain != 1 {
			t.Fatalf("%q: its parts make %s", s, got)
		}
	})
}
