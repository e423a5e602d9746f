package due

import (
	"time"

	"limbround/scheduler"
)

// sprouts adds the yearly removal of basal sprouts from a young tree of a
// species that makes them. It moves no other work: it joins a trip that falls
// into its month, or has one of its own. A year left out is not made up for
// once its growing season is over.
func (d *draft) sprouts() {
	t, r := d.t, &d.e.care
	if !d.p.species.Sprouts {
		return
	}
	since := max(t.LastSprouts, t.LastTraining, t.LastRotation, t.Planted, d.e.start-1, 1)
	month := scheduler.MonthDay{Month: r.SproutMonth, Day: 1}
	y, _, _ := civil(since)
	if now, _, _ := civil(d.today); now > y {
		y = now
	}
	var w scheduler.Window
	moved := false
	for y--; ; y++ {
		w, moved = d.sproutDays(onDay(y, month))
		if _, end := d.e.cal.growingIn(y); w.Earliest > since && max(w.Latest, end) >= d.today {
			break
		}
	}
	if t.Planted.IsZero() {
		if d.age(w.Due) > float64(r.SproutYears) {
			return
		}
	} else if w.Due > addMonths(t.Planted, 12*r.SproutYears) {
		return
	}
	i := d.add(task{kind: scheduler.BasalSprouts, class: 4, w: w, skill: scheduler.Ground, company: joins})
	s := d.say("The species sprouts from the base when young: sprouts are taken each year in ").str(time.Month(r.SproutMonth).String()).
		str(" for ").num(r.SproutYears).str(" years from planting")
	if moved {
		s = s.str("; moved to the open days before it")
	}
	d.because(i, "sprouts.yearly", s.str(".").end(), commonPractice)
}

// sproutDays are the days of a month on which sprouts may be taken: where a
// season closes it, those of the four months before.
func (d *draft) sproutDays(from scheduler.Date) (w scheduler.Window, moved bool) {
	k := scheduler.BasalSprouts
	to := addMonths(from, 1) - 1
	first, last := d.p.fit(k, from, to)
	if moved = last < from; moved {
		first, last = d.p.fit(k, addMonths(from, -4), to)
	}
	return scheduler.Window{Earliest: first, Due: first, Latest: last}, moved
}

var (
	sproutWork  = []string{"Remove basal sprouts at their origin while they are small; leave no stubs", "Look at mulch, guard and root flare"}
	sproutShort = "Remove basal sprouts at their origin"
)
