package due

import "limbround/scheduler"

// The calendar arithmetic of the rules. Years and days of the proleptic
// Gregorian calendar are computed in integers: the rules ask for them several
// times for each of a million trees, and a time.Time costs more than the rest
// of a rule.

const (
	daysPer400 = 146097
	marchShift = 306 // days from 0000-03-01 to 0001-01-01
)

// civil splits a date into year, month and day. Years begin in March inside,
// so that the leap day is the last day of a year.
func civil(d scheduler.Date) (year, month, day int) {
	z := int(d) + marchShift
	era := z / daysPer400
	if z < 0 {
		era = (z - daysPer400 + 1) / daysPer400
	}
	doe := z - era*daysPer400
	yoe := (doe - doe/1460 + doe/36524 - doe/146096) / 365
	doy := doe - (365*yoe + yoe/4 - yoe/100)
	mp := (5*doy + 2) / 153
	day = doy - (153*mp+2)/5 + 1
	month = mp + 3
	if month > 12 {
		month -= 12
	}
	year = yoe + era*400
	if month <= 2 {
		year++
	}
	return year, month, day
}

// date is the inverse of civil for days that exist.
func date(year, month, day int) scheduler.Date {
	if month <= 2 {
		year--
	}
	era := year / 400
	if year < 0 {
		era = (year - 399) / 400
	}
	yoe := year - era*400
	mp := month - 3
	if mp < 0 {
		mp += 12
	}
	doy := (153*mp+2)/5 + day - 1
	doe := yoe*365 + yoe/4 - yoe/100 + doy
	return scheduler.Date(era*daysPer400 + doe - marchShift)
}

// addMonths is the date n months later; a day the month does not have becomes its last day.
func addMonths(d scheduler.Date, n int) scheduler.Date {
	y, m, day := civil(d)
	m += n - 1
	y += m / 12
	m %= 12
	if m < 0 {
		m, y = m+12, y-1
	}
	return date(y, m+1, min(day, daysIn(y, m+1)))
}

func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// onDay is the day md of a year; 29 February becomes 28 February where there is none.
func onDay(year int, md scheduler.MonthDay) scheduler.Date {
	return date(year, md.Month, min(md.Day, daysIn(year, md.Month)))
}
