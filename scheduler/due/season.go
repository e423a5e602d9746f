package due

import (
	"sort"

	"limbround/scheduler"
)

// calendar knows the working seasons of a policy. The dormant season is named
// by the year it begins in (2028/29 is 2028); the growing season by the year
// its leaves come out.
type calendar struct {
	dormant, leaf scheduler.MonthSpan
	names         []string // untrimmed dormant seasons from firstNamed on, made once
}

const firstNamed, lastNamed = 2000, 2070 // years whose season names are made once; others are spelt on demand

func newCalendar(r scheduler.SeasonRules) calendar {
	c := calendar{dormant: r.Dormant, leaf: r.LeafOn, names: make([]string, lastNamed-firstNamed)}
	for y := firstNamed; y < lastNamed; y++ {
		f, t := c.dormantIn(y)
		c.names[y-firstNamed] = string(appendSeason(nil, "dormant season ", y, f, t))
	}
	return c
}

// spanIn is the run of a span of days that begins in the year.
func spanIn(s scheduler.MonthSpan, year int) (from, to scheduler.Date) {
	from = onDay(year, s.From)
	if wraps(s.From, s.To) {
		return from, onDay(year+1, s.To)
	}
	return from, onDay(year, s.To)
}

// wraps reports whether the span crosses New Year.
func wraps(from, to scheduler.MonthDay) bool { return from.Month*100+from.Day > to.Month*100+to.Day }

func (c *calendar) dormantIn(year int) (from, to scheduler.Date) { return spanIn(c.dormant, year) }
func (c *calendar) growingIn(year int) (from, to scheduler.Date) { return spanIn(c.leaf, year) }

// counted is the first growing season that counts after work on d: the one
// under way when at least half of it is still to come (common practice).
func (c *calendar) counted(d scheduler.Date) int {
	y, _, _ := civil(d)
	for y--; ; y++ {
		f, t := c.growingIn(y)
		if d <= f+(t-f)/2 {
			return y
		}
	}
}

// full is the first growing season that lies wholly after d.
func (c *calendar) full(d scheduler.Date) int {
	y, _, _ := civil(d)
	for y--; ; y++ {
		if f, _ := c.growingIn(y); f > d {
			return y
		}
	}
}

// lasting is the first growing season that is not over by d.
func (c *calendar) lasting(d scheduler.Date) int {
	y, _, _ := civil(d)
	for y--; ; y++ {
		if _, t := c.growingIn(y); t >= d {
			return y
		}
	}
}

// firstYear is the first year from lo to hi for which something holds that,
// once it holds, goes on holding; false when it does not in hi.
func firstYear(lo, hi int, holds func(year int) bool) (int, bool) {
	if lo > hi || !holds(hi) {
		return 0, false
	}
	return lo + sort.Search(hi-lo, func(i int) bool { return holds(lo + i) }), true
}

// after is the dormant season that follows the growing season of the year.
func (c *calendar) after(growing int) int {
	g, _ := c.growingIn(growing)
	y := growing
	if f, _ := c.dormantIn(y); f > g {
		return y
	}
	return y + 1
}

// at is the dormant season under way on d, or else the next one.
func (c *calendar) at(d scheduler.Date) int {
	y, _, _ := civil(d)
	for y--; ; y++ {
		if _, t := c.dormantIn(y); t >= d {
			return y
		}
	}
}

// before is the last dormant season that has begun by d.
func (c *calendar) before(d scheduler.Date) int {
	y, _, _ := civil(d)
	if f, _ := c.dormantIn(y); f <= d {
		return y
	}
	return y - 1
}

// doseYear is the growing season whose foliage a cut on d counts against: a
// cut in the dormant season is paid for in the spring that follows.
func (c *calendar) doseYear(d scheduler.Date) int { return c.lasting(d) }

// name prints the season that d lies in, cut to the days from and to when they
// are not those of the whole season. The flag says that text was appended to
// b; otherwise the fixed string holds it.
func (c *calendar) name(b []byte, from, to scheduler.Date) ([]byte, string, bool) {
	y := c.before(from)
	f, t := c.dormantIn(y)
	if from <= t {
		to = min(to, t)
		if from == f && to == t {
			if y >= firstNamed && y < lastNamed {
				return b, c.names[y-firstNamed], false
			}
		}
		return appendSeason(b, "dormant season ", y, from, to), "", true
	}
	y, _, _ = civil(from)
	gf, gt := c.growingIn(y)
	if from < gf {
		if _, last := c.growingIn(y - 1); from <= last {
			gf, gt = c.growingIn(y - 1)
			y--
		}
	}
	if from >= gf && from <= gt {
		to = min(to, gt)
	}
	return appendSeason(b, "growing season ", y, from, max(from, to)), "", true
}

// appendSeason spells a season: "dormant season 2028/29, 1 Nov to 31 Mar".
func appendSeason(b []byte, word string, year int, from, to scheduler.Date) []byte {
	b = append(b, word...)
	b = appendInt(b, year)
	if ty, _, _ := civil(to); ty > year {
		b = append(b, '/', byte('0'+ty/10%10), byte('0'+ty%10))
	} else if fy, _, _ := civil(from); fy > year { // a season cut to its part after New Year
		b = append(b, '/', byte('0'+fy/10%10), byte('0'+fy%10))
	}
	b = append(b, ", "...)
	b = appendMonthDay(b, from)
	b = append(b, " to "...)
	return appendMonthDay(b, to)
}
