package scheduler

import (
	"fmt"
	"strconv"
	"time"
)

// northern is the growing season of a policy that names none: the northern
// temperate zone, from April to the end of October (common practice).
var northern = MonthSpan{From: MonthDay{4, 1}, To: MonthDay{10, 31}}

func (s MonthSpan) orNorthern() MonthSpan {
	if s == (MonthSpan{}) {
		return northern
	}
	return s
}

// DoseSeason is the growing season, of those that s spans, that a cut made on d
// draws on: the one under way or, once the leaves are down, the one to come. So
// work of one dormant season counts as one, on whatever side of New Year. A
// season is named by the year in which its leaves come out, also where it
// crosses New Year, as south of the equator. The zero span is that of the
// northern temperate zone.
func (s MonthSpan) DoseSeason(d Date) int {
	s = s.orNorthern()
	t := d.Time()
	y := t.Year()
	if int(t.Month())*100+t.Day() > s.To.Number() {
		y++
	}
	if s.crosses() {
		y--
	}
	return y
}

// inLeaf reports whether d lies in a growing season.
func (s MonthSpan) inLeaf(d Date) bool {
	s = s.orNorthern()
	t := d.Time()
	return spanHolds(s, MonthDay{int(t.Month()), t.Day()})
}

// leavesDown is the first day after the growing season of a year.
func (s MonthSpan) leavesDown(year int) Date {
	s = s.orNorthern()
	if s.crosses() {
		year++
	}
	return NewDate(year, time.Month(s.To.Month), s.To.Day+1)
}

// SeasonName names the growing season that begins in a year: 2027, or 2027/28 where it crosses New Year.
func (s MonthSpan) SeasonName(year int) string {
	name := strconv.Itoa(year)
	if s.orNorthern().crosses() {
		name += fmt.Sprintf("/%02d", (year+1)%100)
	}
	return name
}

func (s MonthSpan) crosses() bool { return s.From.Number() > s.To.Number() }

// Number orders the days of a year: month * 100 + day.
func (d MonthDay) Number() int { return d.Month*100 + d.Day }
