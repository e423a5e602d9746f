package year

import "limbround/scheduler"

// reservePct is the share of productive crew time kept free for driving and
// dump runs, which the annual plan does not route. A measured made-up week of
// 500 visits spent 2 % driving and 7 % on dump runs; the rest is weather.
const reservePct = 15

// calendar is the year cut into weeks that start on Monday. A week belongs to
// the year that holds its Thursday, so each week is planned in exactly one year.
type calendar struct {
	weeks []scheduler.Date
	first int // first week that can still be planned
}

func newCalendar(year int, today scheduler.Date) calendar {
	var c calendar
	monday := scheduler.NewDate(year, 1, 4).Monday() // 4 January is always in week 1
	for ; monday.AddDays(3).Year() == year; monday = monday.AddDays(7) {
		if monday.AddDays(6) < today {
			c.first++
		}
		c.weeks = append(c.weeks, monday)
	}
	return c
}

// week is the index of the week that holds d; negative before the year, at
// least len(weeks) after it.
func (c *calendar) week(d scheduler.Date) int {
	days := int(d - c.weeks[0])
	if days < 0 {
		return (days - 6) / 7
	}
	return days / 7
}

// skills lists the skills from the rarest: a crew with a rarer skill can also
// do what the later ones do.
var skills = [3]scheduler.Skill{scheduler.LineClearance, scheduler.Lift, scheduler.Ground}

func level(s scheduler.Skill) int {
	for i, k := range skills {
		if k == s {
			return i
		}
	}
	return len(skills) - 1
}

// capacity holds crew minutes by week, nested by skill: pool[w][l] is what all
// crews with skill l or a rarer one have in week w.
type capacity struct {
	pool [][3]int
}

func newCapacity(c *calendar, crews []scheduler.Crew) capacity {
	k := capacity{make([][3]int, len(c.weeks))}
	for i := range crews {
		crew := &crews[i]
		best := len(skills) - 1
		for _, s := range crew.Skills {
			best = min(best, level(s))
		}
		day := max(0, crew.ShiftMin-crew.YardMin-crew.BreakMin) * (100 - reservePct) / 100
		for w := c.first; w < len(c.weeks); w++ {
			for d := range 7 {
				if crew.Works(c.weeks[w].AddDays(d)) {
					for l := best; l < len(skills); l++ {
						k.pool[w][l] += day
					}
				}
			}
		}
	}
	return k
}

// fits reports whether week w can still take m minutes of skill level l.
func (k *capacity) fits(w, l, m int) bool {
	for i := l; i < len(skills); i++ {
		if k.pool[w][i] < m {
			return false
		}
	}
	return true
}

// take uses m minutes of skill level l in week w.
func (k *capacity) take(w, l, m int) {
	for i := l; i < len(skills); i++ {
		k.pool[w][i] -= m
	}
}

// hours is the crew time of the whole year, in hours.
func (k *capacity) hours() float64 {
	sum := 0
	for _, p := range k.pool {
		sum += p[len(skills)-1]
	}
	return float64(sum) / 60
}
