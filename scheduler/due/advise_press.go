package due

import "limbround/scheduler"

const pressYears = 30 // how far ahead two stems are followed until they touch

// pressingPlan follows a branch and the union it grows towards: each thickens
// towards the other by half of its growth in diameter, until the gap is closed.
func (a *adviser) pressingPlan() plan {
	d, q := a.d, a.q
	switch {
	case q.Gap == 0:
		a.because("advise.pressing", fixed("It will press on or fuse with the union as both thicken; measure the gap to learn when."), commonPractice)
		return a.byTable(true)
	case !d.proj.Known() || d.p.curve.Palm():
		a.because("advise.pressing", fixed("It will press on the union as both thicken; without a growth curve and the trunk's size nobody can say when."), commonPractice)
		return a.byTable(true)
	}
	y := a.touches()
	a.out.Presses = &y
	s := d.say("Gap ").width(q.Gap)
	if y.Earliest == 0 {
		a.because("advise.pressing", s.str(": it does not press on the union within ").num(pressYears).str(" years by their growth; it stays, look again.").end(), pressSource)
		return plan{verdict: Keep}
	}
	if y.Year > 0 {
		s = s.str(": will press on the union about ").num(y.Year).str(" (").num(y.Earliest)
	} else {
		s = s.str(": will press on the union at the earliest in ").num(y.Earliest).str(" (")
	}
	if y.Latest > 0 {
		s = s.str(" to ").num(y.Latest)
	} else {
		s = s.str(" or later")
	}
	a.because("advise.pressing", s.str("), as both thicken.").end(), pressSource)
	return a.byTable(true)
}

const pressSource = "trunk growth McPherson, van Doorn & Peper 2016 (PSW-GTR-253); a branch's part of it and the spread common practice"

// touches finds the years in which the gap closes at the mean growth, and at
// growth that is faster and slower by the spread.
func (a *adviser) touches() PressYears {
	at := func(pct int) int {
		for q := 1; q <= 4*pressYears; q++ {
			on := addMonths(a.q.On, 3*q)
			if 2*float64(a.q.Gap) <= a.thicker(on)*float64(pct)/100 {
				y, _, _ := civil(on)
				return y
			}
		}
		return 0
	}
	s := a.rules.SpreadPct
	return PressYears{Year: at(100), Earliest: at(100 + s), Latest: at(100 - s)}
}

// thicker is by how much branch and stem together have grown in diameter, mm.
func (a *adviser) thicker(on scheduler.Date) float64 {
	s := a.d.branchAt(&a.w, on)
	return s.branch - float64(a.w.Diameter) + s.stem - float64(a.w.StemDiameter)
}
