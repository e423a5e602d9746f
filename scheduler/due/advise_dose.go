package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// share settles how much of the live crown the whole branch carries.
func (a *adviser) share(trunk, stem geo.Length) {
	q, o := a.q, &a.out
	o.Share = q.Share
	switch {
	case q.Share > 0:
		return
	case a.deadWood(), q.Role == BrokenBranch: // what is broken has lost its foliage
		return
	}
	o.ShareGuessed = true
	d2, whole := int64(q.Diameter)*int64(q.Diameter), int64(trunk)*int64(trunk)
	if trunk <= 0 {
		whole = d2 + int64(stem)*int64(stem)
	}
	o.Share = int(min(100, (100*d2+whole-1)/whole))
}

// deadWood reports whether the branch carries no live crown by its role: dead,
// or a stub on which nobody saw foliage.
func (a *adviser) deadWood() bool {
	return a.q.Role == DeadBranch || a.q.Role == Stub && a.q.Share == 0
}

// doses works out what the tree and the side may still give this season.
func (a *adviser) doses() {
	d, q, o := a.d, a.q, &a.out
	o.DoseLimit, _ = d.doseLimit()
	_, used := d.doseOn(q.On)
	o.DoseUsed = max(used, q.DoseUsed)
	o.DoseLeft = max(0, o.DoseLimit-o.DoseUsed)
	o.SideUsed = q.SideUsed
	o.SideLeft = min(o.DoseLeft, max(0, o.DoseLimit*a.rules.SideDosePct/100-q.SideUsed))
}

// room is the live crown that a plan may draw on. A stem that is itself taken
// back, and wood that is broken or diseased, draw on the tree's dose alone; the
// rest also on its side's or leader's part of it, so that not all of a dose comes off one side.
func (a *adviser) room() int {
	switch a.q.Role {
	case TemporaryBranch, LaneSide, WalkSide, EndWeight, CrowdingBranch, IntoScaffold:
		return a.out.SideLeft
	}
	return a.out.DoseLeft
}

// takes is the live crown that part per cent of the branch's foliage is.
func (a *adviser) takes(part int) int { return (a.out.Share*part + 99) / 100 }

// dosed fits a plan to the room that is left. What does not fit is left for the
// next growing season, whole or in part.
func (a *adviser) dosed(p plan) plan {
	room := a.room()
	if p.noDose || p.part == 0 || a.takes(p.part) <= room {
		return p
	}
	a.doseText(a.takes(p.part), room)
	if p.part == 100 {
		first := a.rules.ReducePct
		if p.mayReduce && a.takes(first) <= room {
			before := len(a.out.Reasons)
			if two := a.smallSecond(plan{verdict: TwoSteps, part: first}); two.verdict == TwoSteps {
				return two
			}
			a.out.Reasons = a.out.Reasons[:before]
			a.because("advise.take_first", fixed("Reduced now it would be past the small cut when its turn comes: it is the first to go once the dose is free."), commonPractice)
		}
		if a.q.Role == DiseasedBranch || a.q.Role == BrokenBranch {
			p.ask = AskSupervisor
		}
		p.part, p.unfinished = 0, true
		return p
	}
	fits := room * 100 / max(a.out.Share, 1)
	if fits < min(a.rules.SlowsFrom, p.part) {
		fits = 0
	}
	p.part, p.unfinished = fits, true
	return p
}

func (a *adviser) doseText(want, room int) {
	d, o := a.d, &a.out
	_, source := d.doseLimit()
	s := d.say("It would take ").num(want).str(" % of the live crown and ").num(room).str(" % is left this growing season")
	switch {
	case o.DoseLimit == 0:
		s = s.str(": a crown under stress gives no live wood")
	case room < o.DoseLeft:
		s = s.str(" for this side (at most ").num(o.DoseLimit * a.rules.SideDosePct / 100).str(" %, ").num(o.SideUsed).str(" % used)")
	default:
		s = s.str(" (at most ").num(o.DoseLimit).str(" %, ").num(o.DoseUsed).str(" % used)")
	}
	a.because("advise.dose", s.str(".").end(), source)
}

// nextDose is the first dormant season whose cuts count against the next growing season.
func (a *adviser) nextDose() int {
	c := &a.d.e.cal
	return c.after(c.doseYear(a.q.On))
}

// whenOpen finds the first day on which live wood may be cut.
func (a *adviser) whenOpen() {
	d, on := a.d, a.q.On
	a.open = on
	b := d.p.closing(a.kind, on)
	if b == nil || a.deadWood() {
		a.seasonAdvice()
		return
	}
	end := d.p.opens(a.kind, on)
	s := d.say("").str(b.rule.Name).str(" (").str(b.rule.Authority).str(")")
	switch {
	case a.q.Emergency && a.q.Approver != "":
		s = s.str(": emergency cut approved by ").str(a.q.Approver).str("; the smallest cuts that meet the emergency")
		if d.p.species.ClosedGroup == "oak" {
			s = s.str(", each wound painted at once")
		}
		a.because("advise.season_emergency", s.str(".").end(), b.rule.Source)
		return
	case a.q.Emergency:
		s = s.str(": an emergency cut needs an approver by name; any other live cut waits until ").day(end)
	default:
		s = s.str(": no live cut before ").day(end)
	}
	a.open, a.out.Opens = end, end
	a.because("advise.closed_season", s.str(".").end(), b.rule.Source)
}

// seasonAdvice names what is to be looked for before the cut.
func (a *adviser) seasonAdvice() {
	d := a.d
	for i := range d.p.advice {
		b := &d.p.advice[i]
		if b.rule.Kind == scheduler.SeasonPreferred || !b.inside(a.q.On) {
			continue
		}
		tail := "): look before the cut."
		if b.rule.Kind == scheduler.SeasonStopOnFind {
			tail = "): stop and call when found."
		}
		a.because("advise.check_first", d.say(b.rule.Name).str(" (").str(b.rule.Authority).str(tail).end(), b.rule.Source)
	}
}
