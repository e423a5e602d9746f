package jobs

import (
	"testing"

	"limbround/scheduler"
)

func TestParseDate(t *testing.T) {
	const day, month, season, year = scheduler.PreciseDay, scheduler.PreciseMonth, scheduler.PreciseSeason, scheduler.PreciseYear
	for _, tc := range []struct {
		in, style string
		want      string
		precision scheduler.Precision
		rule      string
	}{
		{"2014-05-03", "", "2014-05-03", day, ""},
		{"2014/5/3", "mdy", "2014-05-03", day, ""},
		{"2014.05.03", "dmy", "2014-05-03", day, ""},
		{"2014-05-03T17:20:00Z", "", "2014-05-03", day, ""},
		{"2014-05-03 00:00:00", "", "2014-05-03", day, ""},
		{"5/3/2014 12:00:00 AM", "mdy", "2014-05-03", day, ""},
		{"31.12.2014", "dmy", "2014-12-31", day, ""},
		{"12/31/2014", "mdy", "2014-12-31", day, ""},
		{"3 May 2014", "", "2014-05-03", day, ""},
		{"May 3, 2014", "", "2014-05-03", day, ""},
		{"03-Sept-2014", "", "2014-09-03", day, ""},
		{"1398902400000", "epoch_ms", "2014-05-01", day, ""},
		{"-2208988800000", "epoch_ms", "1900-01-01", day, ""},
		{"2014-05", "", "2014-05-01", month, ""},
		{"05/2014", "", "2014-05-01", month, ""},
		{"May 2014", "", "2014-05-01", month, ""},
		{"spring 2014", "", "2014-03-01", season, ""},
		{"2014 Fall", "", "2014-09-01", season, ""},
		{"winter 2013/14", "", "2013-12-01", season, ""},
		{"Winter 2013-2014", "", "2013-12-01", season, ""},
		{"winter 1999/00", "", "1999-12-01", season, ""},
		{"1998", "", "1998-01-01", year, ""},
		{"2024-02-29", "", "2024-02-29", day, ""},
		{"2026-11-25", "", "2026-11-25", day, ""}, // today

		{"2026-11-26", "", "", "", ruleNotPast},
		{"2027", "", "", "", ruleNotPast},
		{"1699-12-31", "", "", "", ruleTooOld},
		{"0000-00-00", "", "", "", ruleNoDay},
		{"2023-02-29", "", "", "", ruleNoDay},
		{"30.02.2014", "dmy", "", "", ruleNoDay},
		{"13/13/2014", "mdy", "", "", ruleNoDay},
		{"03/04/2014", "", "", "", ruleStyle},
		{"31/12/2014", "", "", "", ruleStyle},
		{"31/12/2014", "ymd", "", "", "the mapping says dates: ymd, but the year stands last"},
		{"3/4/14", "mdy", "", "", ruleYear},
		{"May 3", "", "", "", ruleYear},
		{"winter 2014", "", "", "", ruleWinter},
		{"winter 2013/15", "", "", "", ruleWinter},
		{"spring", "", "", "", ruleDate},
		{"98", "", "", "", ruleDate},
		{"20140503", "", "", "", ruleDate},
		{"yesterday", "", "", "", ruleDate},
		{"May May 2014", "", "", "", ruleDate},
		{"2014-05-03-01", "", "", "", ruleDate},
		{"x", "epoch_ms", "", "", "not milliseconds since 1970"},
	} {
		got, precision, err := parseDate(tc.in, tc.style, testToday)
		rule := ""
		if err != nil {
			rule = err.Error()
		}
		if got.String() != tc.want || precision != tc.precision || rule != tc.rule {
			t.Errorf("%q as %q: %s %s %q; want %s %s %q", tc.in, tc.style, got, precision, rule, tc.want, tc.precision, tc.rule)
		}
	}
}
