package scheduler

import "testing"

// Common practice: a dormant season is one season of pruning, on either side of
// New Year; the growing season is named by the year its leaves come out. In
// Melbourne that is September, and the season runs on into the next year.
func TestDoseSeason(t *testing.T) {
	north := MonthSpan{From: MonthDay{4, 15}, To: MonthDay{10, 31}}
	florida := MonthSpan{From: MonthDay{3, 1}, To: MonthDay{11, 30}}
	south := MonthSpan{From: MonthDay{9, 15}, To: MonthDay{5, 15}}
	for _, c := range []struct {
		span   MonthSpan
		on     string
		want   int
		leaf   bool
		next   string // first day after that growing season
		called string
	}{
		{north, "2026-10-31", 2026, true, "2026-11-01", "2026"},
		{north, "2026-11-01", 2027, false, "2027-11-01", "2027"},
		{north, "2027-01-10", 2027, false, "2027-11-01", "2027"},
		{MonthSpan{}, "2026-11-01", 2027, false, "2027-11-01", "2027"},
		{MonthSpan{}, "2027-04-01", 2027, true, "2027-11-01", "2027"},
		{florida, "2026-11-20", 2026, true, "2026-12-01", "2026"},
		{florida, "2026-12-01", 2027, false, "2027-12-01", "2027"},
		{south, "2026-06-10", 2026, false, "2027-05-16", "2026/27"},
		{south, "2026-08-30", 2026, false, "2027-05-16", "2026/27"},
		{south, "2026-12-25", 2026, true, "2027-05-16", "2026/27"},
		{south, "2027-02-01", 2026, true, "2027-05-16", "2026/27"},
		{south, "2027-05-16", 2027, false, "2028-05-16", "2027/28"},
	} {
		d, err := ParseDate(c.on)
		if err != nil {
			t.Fatal(err)
		}
		y := c.span.DoseSeason(d)
		if y != c.want || c.span.inLeaf(d) != c.leaf || c.span.leavesDown(y).String() != c.next || c.span.SeasonName(y) != c.called {
			t.Errorf("%v on %s: season %d (%s), in leaf %t, over by %s; want %d (%s), %t, %s",
				c.span, c.on, y, c.span.SeasonName(y), c.span.inLeaf(d), c.span.leavesDown(y), c.want, c.called, c.leaf, c.next)
		}
	}
}
