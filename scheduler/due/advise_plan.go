package due

import (
	"math"

	"limbround/geo"
	"limbround/scheduler"
)

// plan is what is to be done with a branch before the dose, the day and the
// side branches have had their say.
type plan struct {
	verdict    Verdict
	part       int    // of the branch's own foliage that comes off today; 100 takes the branch
	ask        string // who decides before the union is cut
	mayReduce  bool   // a removal that the dose does not allow may be reduced first
	noDose     bool   // counts against no dose
	unfinished bool
	reducedOn  scheduler.Date // of two steps: the first one's day when it is behind us
	second     int            // of two steps: the dormant season by which the ratio has come down, 0 when not known
}

// plan asks in order: the crown's condition, the growth habit, the role.
func (a *adviser) plan() plan {
	d := a.d
	switch {
	case a.deadWood():
		return a.deadPlan()
	case d.stage == scheduler.StageEstablishing && !a.cannotWait():
		a.because("advise.establishing", fixed("An establishing tree keeps every sound live branch: its foliage makes the roots."), d.rule().Source)
		return plan{verdict: Keep}
	case a.out.DoseLimit == 0 && d.p.species.Habit != scheduler.Palm && !a.cannotWait():
		a.because("advise.stress", fixed("The crown is on record as under stress: no live cut."), commonPractice)
		return plan{verdict: Keep}
	}
	if p, ok := a.habitPlan(); ok {
		return p
	}
	return a.rolePlan()
}

// cannotWait reports whether the branch is taken even from a young or weak tree.
func (a *adviser) cannotWait() bool {
	switch a.q.Role {
	case BrokenBranch, DiseasedBranch, BasalSprout, Stub:
		return true
	}
	return false
}

func (a *adviser) deadPlan() plan {
	p := plan{verdict: Remove, part: 100, noDose: true}
	a.because("advise.dead_wood", fixed("Dead wood counts against no dose and is held by no season for live cuts; cut it at the collar, not into it."), commonPractice)
	if a.judged == len(cutCells)-1 {
		p.ask = AskSupervisor
		a.because("advise.heavy", fixed("Dead wood of this size: the supervisor looks at weight, hinge and fall zone before anyone cuts."), commonPractice)
	}
	return p
}

func (a *adviser) tableReason() {
	d := a.d
	a.because("advise.cut_table", d.say("Cut table: ").str(a.out.Row).str(".").end(), "table common practice; small cut and ratio: "+d.p.cutSource)
}

// byTable is what the cut table makes of a branch that should go.
func (a *adviser) byTable(stated bool) plan {
	a.tableReason()
	split := a.q.IncludedBark && (a.q.Role == CompetingLeader || a.q.Role == CompetingTop)
	if split {
		a.because("advise.included_bark", fixed("Included bark at a codominant union: small, remove or reduce; of middle size, reduce and hold and look at every visit; large, beyond training: refer it for assessment (reduction, a support system with inspection dates, or removal)."), commonPractice)
	}
	half := a.rules.ReducePct
	switch a.cell {
	case cellRemove, cellWithDose, cellEither:
		return a.reducedBefore(plan{verdict: Remove, part: 100, mayReduce: true})
	case cellReduceFirst:
		if p := a.reducedBefore(plan{}); p.verdict != "" {
			return p
		}
		return a.smallSecond(plan{verdict: TwoSteps, part: half})
	case cellReason:
		if stated || a.q.Stated != "" {
			if a.q.Stated != "" {
				a.because("advise.stated", a.d.say("Stated reason: ").str(a.q.Stated).str(".").end(), "the person at the tree")
			}
			return a.reducedBefore(plan{verdict: Remove, part: 100, mayReduce: true})
		}
		if split {
			return a.again(plan{verdict: HoldStem, part: half})
		}
		return a.again(plan{verdict: Reduce, part: half})
	case cellReduceHold:
		return a.again(plan{verdict: HoldStem, part: half})
	case cellHoldAsk:
		return a.again(plan{verdict: HoldStem, part: half, ask: AskSupervisor})
	case cellSupervisor:
		if split {
			return plan{verdict: HoldStem, ask: AskAssessor}
		}
		return plan{verdict: HoldStem, ask: AskSupervisor}
	}
	return plan{verdict: HoldStem, ask: AskAssessor}
}

// reducedBefore holds a removal to the two-step rule: not before one full
// growing season after the reduction, and only at the small ratio.
func (a *adviser) reducedBefore(p plan) plan {
	d, on := a.d, a.q.ReducedOn
	if on.IsZero() {
		return p
	}
	if a.w.ReducedOn.IsZero() {
		a.because("advise.too_little", d.say("The reduction of ").day(on).str(" took ").num(a.q.ReducedPct).
			str(" % of its foliage: under about a quarter it does not slow a stem.").end(), commonPractice)
	}
	if from := a.secondFrom(on); a.q.On < from {
		a.because("advise.two_step", d.say("Reduced on ").day(on).str(": not removed before one full growing season has passed, from ").day(from).str(".").end(), commonPractice)
		return plan{verdict: TwoSteps, reducedOn: on}
	}
	if a.column == 2 {
		a.because("advise.two_step", d.say("A stem that was reduced is removed only at no more than ").num(percent(d.p.cuts.ratios[1])).
			str(" % of its parent: it is at ").num(a.out.RatioNow).str(" %, reduce it again.").end(), d.p.cutSource)
		return a.smallSecond(plan{verdict: TwoSteps, part: a.rules.ReducePct})
	}
	return p
}

// again keeps a stem from being reduced twice in one growing season.
func (a *adviser) again(p plan) plan {
	d, on := a.d, a.q.ReducedOn
	if !on.IsZero() && d.e.cal.doseYear(on) == d.e.cal.doseYear(a.q.On) {
		a.because("advise.reduced_already", d.say("Reduced on ").day(on).str(" already, for the same growing season: look at it, reduce it again next time.").end(), commonPractice)
		p.part = 0
	}
	return p
}

// smallSecond asks whether the second of two steps will be a small cut. Where
// the absolute limit comes before the ratio it never is.
func (a *adviser) smallSecond(p plan) plan {
	d := a.d
	_, end := a.firstStep()
	w := a.w
	w.ReducedOn = a.open
	if !d.proj.Known() || d.p.curve.Palm() {
		a.because("advise.no_curve", fixed("Without a growth curve and the trunk's size nobody can say whether it will be a small cut later: measure it at every visit."), commonPractice)
		return p
	}
	year, _, _ := a.secondSeason(end)
	for y := year; y <= year+searchSeasons; y++ {
		s := d.branchAt(&w, d.seasonEnd(y))
		if s.branch > float64(d.p.cutMax) {
			a.because("advise.never_small", d.say("This will never be a small cut: by ").day(d.seasonEnd(y)).str(" about ").width(geo.Length(math.Ceil(s.branch))).
				str(" at ratio ").num(percent(s.ratio())).str(" %, past the small cut of ").width(d.p.cutMax).
				str(" before its ratio allows removal: take it now or hold it for good.").end(), d.p.cutSource)
			p.verdict = HoldStem
			return p
		}
		if s.ratio() <= d.p.cuts.ratios[1] {
			p.second = y
			return p
		}
	}
	a.because("advise.ratio_waits", d.say("In ").num(searchSeasons).str(" seasons its ratio does not come down to ").num(percent(d.p.cuts.ratios[1])).
		str(" %: reduce it again at every visit, and remove it only then.").end(), commonPractice)
	return p
}
