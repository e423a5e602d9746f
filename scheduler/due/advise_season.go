package due

import "limbround/scheduler"

// firstStep is the span of days in which the first of two steps falls: from the
// first open day to the end of its season, as long as the season stays open.
func (a *adviser) firstStep() (from, to scheduler.Date) {
	d, from := a.d, a.open
	c := &d.e.cal
	start, end := c.dormantIn(c.at(from))
	if from < start {
		end = start - 1
		y, _, _ := civil(from)
		if f, t := c.growingIn(y); f <= from && from <= t {
			end = t
		}
	}
	return from, d.p.run(a.kind, from, end)
}

// secondSeason is the first dormant season, and its open days, that has one
// full growing season between it and work on a day. A season whose open days
// were moved before that growing season's end does not count.
func (a *adviser) secondSeason(done scheduler.Date) (year int, from, to scheduler.Date) {
	d := a.d
	c := &d.e.cal
	growing := c.full(done)
	_, leaf := c.growingIn(growing)
	for year = c.after(growing); ; year++ {
		from, to = d.span(a.kind, year)
		if from > leaf {
			return year, from, to
		}
	}
}

// secondFrom is the first day on which a stem reduced on a day may be removed.
func (a *adviser) secondFrom(done scheduler.Date) scheduler.Date {
	_, from, _ := a.secondSeason(done)
	return from
}

// steps writes the two steps with their seasons.
func (a *adviser) steps(p plan) {
	d := a.d
	done := p.reducedOn
	if done.IsZero() {
		from, to := a.firstStep()
		if p.part == 0 { // the dose leaves nothing today
			if f, t := d.span(a.kind, a.nextDose()); f > from {
				from, to = f, t
			}
		}
		a.out.Steps = append(a.out.Steps, a.step("reduce to a side branch", from, to))
		done = to
	}
	year, from, to := a.secondSeason(done)
	if p.second > year {
		from, to = d.span(a.kind, p.second)
		a.because("advise.second_step", d.say("By its growth it is no more than ").num(percent(d.p.cuts.ratios[1])).str(" % of its parent stem by ").day(to).
			str("; one full growing season after the first step is the least.").end(), commonPractice)
	}
	do := a.text(d.say("remove, if it is then no more than ").num(percent(d.p.cuts.ratios[1])).str(" % of its parent stem; else reduce again").end())
	a.out.Steps = append(a.out.Steps, a.step(do, from, to))
}

func (a *adviser) step(do string, from, to scheduler.Date) AdviceStep {
	return AdviceStep{Do: do, Season: a.seasonName(from, to), From: from, To: to}
}

// seasonName spells the season of a span of days.
func (a *adviser) seasonName(from, to scheduler.Date) string {
	b, name, made := a.d.e.cal.name(nil, from, to)
	if made {
		return string(b)
	}
	return name
}

// comesBack says when what the dose left is done: in the next season whose cuts
// count against another growing season, whatever visit falls there.
func (a *adviser) comesBack() string {
	d, v := a.d, a.out.NextVisit
	from, to := d.span(a.kind, a.nextDose())
	s := d.say("unfinished: return in the ").str(a.seasonName(from, to))
	switch {
	case v < from:
		s = s.str("; at the visit of ").day(v).str(" the dose is still spent")
	case v > to:
		s = s.str(", before the visit of ").day(v)
	default:
		s = s.str(", at the next visit")
	}
	return a.text(s.end())
}

// opensLater says when a cut that a closed season holds is done.
func (a *adviser) opensLater() string {
	d := a.d
	s := d.say("unfinished: return ")
	if c := &d.e.cal; c.doseYear(a.open) == c.doseYear(a.q.On) {
		s = s.str("this season, ")
	} else {
		s = s.str("next season, ")
	}
	return a.text(s.str("from ").day(a.open).end())
}
