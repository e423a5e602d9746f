package due

import "limbround/scheduler"

// firstOfSeason moves the due day of a trip of routine pruning back to where
// its season begins for it: the bundler weighs single days, but within one
// dormant season one is as good as another, and a trip due on the last of them
// would be overdue the day after. It stays behind the due day of a task that
// falls into the season, in the same dose, and with the same crew.
func (d *draft) firstOfSeason(t *trip, earliest, on scheduler.Date) scheduler.Date {
	c := &d.e.cal
	from, to := c.dormantIn(c.before(on))
	if on > to {
		return on
	}
	first := max(from, earliest)
	for _, i := range t.list() {
		k := &d.tasks[i]
		if !seasonal(k) {
			return on
		}
		if k.w.Due >= from && k.w.Due <= on {
			first = max(first, k.w.Due)
		}
	}
	for _, i := range t.list() {
		if d.p.opens(d.tasks[i].kind, first) != first {
			return on
		}
	}
	if c.doseYear(first) != c.doseYear(on) || d.splits(first) != d.splits(on) {
		return on
	}
	return first
}

// seasonOf prints the due season; work bound to a day by a law, a hazard or a
// warranty prints the day.
func (d *draft) seasonOf(t *trip, w scheduler.Window) phrase {
	k := &d.tasks[t.tasks[0]]
	if k.class <= 2 || k.dated {
		return d.say("by ").day(w.Latest).end()
	}
	lo := int32(len(d.buf))
	c := &d.e.cal
	year := c.before(w.Due)
	from, to := d.span(k.kind, year)
	if w.Due < from || w.Due > to {
		_, leaves := c.growingIn(c.doseYear(w.Due)) // where the name of the season ends
		if from, to = w.Due, w.Latest; from == to || from == leaves {
			from, to = d.openDays(k.kind, from)
		}
	}
	b, name, made := c.name(d.buf, from, to)
	if !made {
		return fixed(name)
	}
	d.buf = b
	return phrase{lo: lo, hi: int32(len(d.buf))}
}

// openDays are the days around one on which the kind may be done, within the
// growing season or the dormant one that it lies in: a season is never told as
// a single day unless the law leaves no more.
func (d *draft) openDays(k scheduler.WorkKind, on scheduler.Date) (from, to scheduler.Date) {
	c := &d.e.cal
	from, to = c.dormantIn(c.before(on))
	if on > to {
		y := c.doseYear(on)
		if from, to = c.growingIn(y); on < from {
			from, to = on, from-1 // buds swell: neither season
		}
	}
	if b := d.p.closing(k, on); b != nil {
		return on, on
	}
	for at := from; at <= on; {
		if at = d.p.opens(k, at); at == 0 || at > on {
			break
		}
		from = at
		at = d.p.run(k, at, on) + 1
	}
	return from, d.p.run(k, on, to)
}
