package jobs

import (
	"errors"
	"strconv"
	"strings"
	"time"

	"limbround/scheduler"
)

// Dates of tree inventories come as days, months, seasons and years. A coarse
// one is stored as the first day of its span, with its precision. Seasons are
// those of the northern hemisphere; a winter must name both its years.
//
// Day and month written as numbers are read only in the style that the mapping
// states; without one, only year first is accepted, since 03/04/2019 is two
// different days.

// dateStyles are the styles a mapping may state.
var dateStyles = []string{"ymd", "dmy", "mdy", "epoch_ms"}

var monthNames = map[string]time.Month{
	"jan": 1, "feb": 2, "mar": 3, "apr": 4, "may": 5, "jun": 6,
	"jul": 7, "aug": 8, "sep": 9, "sept": 9, "oct": 10, "nov": 11, "dec": 12,
	"january": 1, "february": 2, "march": 3, "april": 4, "june": 6, "july": 7,
	"august": 8, "september": 9, "october": 10, "november": 11, "december": 12,
}

var seasonStart = map[string]time.Month{"spring": 3, "summer": 6, "fall": 9, "autumn": 9}

const (
	ruleDate    = "not a date: write YYYY-MM-DD, YYYY-MM, YYYY, May 2014 or spring 2014"
	ruleStyle   = "day and month cannot be told apart; say dates: dmy or mdy in the mapping"
	ruleNoDay   = "there is no such day"
	ruleYear    = "write the year with four digits"
	ruleWinter  = "a winter belongs to two years: write it as winter 2013/14"
	oldestYear  = 1700
	ruleTooOld  = "before the year 1700"
	ruleNotPast = "in the future"
)

// parseDate reads a date in the given style ("" for none) and checks that it
// is not before 1700 and not after today.
func parseDate(s, style string, today scheduler.Date) (scheduler.Date, scheduler.Precision, error) {
	d, p, err := readDate(strings.ToLower(strings.TrimSpace(s)), style)
	switch {
	case err != nil:
		return 0, "", err
	case d.Year() < oldestYear:
		return 0, "", errors.New(ruleTooOld)
	case d > today:
		return 0, "", errors.New(ruleNotPast)
	}
	return d, p, nil
}

func readDate(s, style string) (scheduler.Date, scheduler.Precision, error) {
	if style == "epoch_ms" {
		ms, err := strconv.ParseInt(s, 10, 64)
		if err != nil || ms < -8e12 || ms > 8e12 { // about 1716 to 2223
			return 0, "", errors.New("not milliseconds since 1970")
		}
		return scheduler.DateOf(time.UnixMilli(ms).UTC()), scheduler.PreciseDay, nil
	}
	s = dropClock(s)
	words := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '-' || r == '/' || r == '.' || r == ',' })
	for _, w := range words {
		if _, ok := monthNames[w]; ok {
			return wordMonth(words)
		}
		if _, ok := seasonStart[w]; ok || w == "winter" {
			return season(words)
		}
	}
	n := make([]int, len(words))
	for i, w := range words {
		v, err := strconv.Atoi(w)
		if err != nil || v < 0 || len(w) > 4 {
			return 0, "", errors.New(ruleDate)
		}
		n[i] = v
	}
	switch {
	case len(n) == 1 && len(words[0]) == 4:
		return day(n[0], 1, 1, scheduler.PreciseYear)
	case len(n) == 2 && len(words[0]) == 4:
		return day(n[0], n[1], 1, scheduler.PreciseMonth)
	case len(n) == 2 && len(words[1]) == 4:
		return day(n[1], n[0], 1, scheduler.PreciseMonth)
	case len(n) != 3:
		return 0, "", errors.New(ruleDate)
	case len(words[0]) == 4:
		return day(n[0], n[1], n[2], scheduler.PreciseDay)
	case len(words[2]) != 4:
		return 0, "", errors.New(ruleYear)
	case style == "dmy":
		return day(n[2], n[1], n[0], scheduler.PreciseDay)
	case style == "mdy":
		return day(n[2], n[0], n[1], scheduler.PreciseDay)
	case style == "ymd":
		return 0, "", errors.New("the mapping says dates: ymd, but the year stands last")
	}
	return 0, "", errors.New(ruleStyle)
}

// dropClock cuts a time of day off: "2014-05-03T00:00:00Z", "5/3/2014 12:00:00 AM".
func dropClock(s string) string {
	if len(s) > 10 && s[10] == 't' {
		return s[:10]
	}
	if i := strings.IndexByte(s, ':'); i > 0 {
		if j := strings.LastIndexByte(s[:i], ' '); j > 0 {
			return s[:j]
		}
	}
	return s
}

// day makes the date and refuses what the calendar does not have.
func day(y, m, d int, p scheduler.Precision) (scheduler.Date, scheduler.Precision, error) {
	if y < 1 || m < 1 || m > 12 || d < 1 || d > 31 {
		return 0, "", errors.New(ruleNoDay)
	}
	date := scheduler.NewDate(y, time.Month(m), d)
	if date.Day() != d {
		return 0, "", errors.New(ruleNoDay)
	}
	return date, p, nil
}

// wordMonth reads a month's name with a year, and a day perhaps: May 2014,
// 3 May 2014, May 3, 2014.
func wordMonth(words []string) (scheduler.Date, scheduler.Precision, error) {
	y, m, d := 0, 0, 0
	for _, w := range words {
		if mon, ok := monthNames[w]; ok && m == 0 {
			m = int(mon)
			continue
		}
		v, err := strconv.Atoi(w)
		switch {
		case err == nil && len(w) == 4 && y == 0:
			y = v
		case err == nil && len(w) <= 2 && d == 0 && v > 0:
			d = v
		default:
			return 0, "", errors.New(ruleDate)
		}
	}
	switch {
	case y == 0:
		return 0, "", errors.New(ruleYear)
	case d == 0:
		return day(y, m, 1, scheduler.PreciseMonth)
	}
	return day(y, m, d, scheduler.PreciseDay)
}

// season reads "spring 2014" and "winter 2013/14".
func season(words []string) (scheduler.Date, scheduler.Precision, error) {
	name := ""
	var years []int
	for _, w := range words {
		_, known := seasonStart[w]
		v, err := strconv.Atoi(w)
		switch {
		case (known || w == "winter") && name == "":
			name = w
		case err == nil && len(w) == 4:
			years = append(years, v)
		case err == nil && len(w) == 2 && len(years) == 1:
			years = append(years, years[0]/100*100+v)
		default:
			return 0, "", errors.New(ruleDate)
		}
	}
	if name == "winter" {
		if len(years) != 2 || (years[0]+1)%100 != years[1]%100 {
			return 0, "", errors.New(ruleWinter)
		}
		return day(years[0], 12, 1, scheduler.PreciseSeason)
	}
	if len(years) != 1 {
		return 0, "", errors.New(ruleDate)
	}
	return day(years[0], int(seasonStart[name]), 1, scheduler.PreciseSeason)
}
