package due

import "limbround/scheduler"

// habitPlan is the plan of growth habits without the rule of one leader
// (common practice); false where the role alone decides.
func (a *adviser) habitPlan() (plan, bool) {
	switch a.d.p.species.Habit {
	case scheduler.Palm:
		a.because("advise.palm", fixed("A palm gives dead fronds and fruit only: every green frond stays."), commonPractice)
		return plan{verdict: Keep}, true
	case scheduler.Pollard:
		return a.pollardPlan()
	case scheduler.Conifer:
		return a.coniferPlan()
	case scheduler.MultiStem:
		switch a.q.Role {
		case CompetingLeader, CompetingTop:
			a.because("advise.multi_stem", fixed("Several stems belong to this growth habit: keep three to five that grow outward, and never cut the tops back."), commonPractice)
			return plan{verdict: Keep}, true
		}
	case scheduler.Columnar:
		if a.stemWithoutBark() {
			if a.q.Attitude == DroopingBranch || a.q.Attitude == SpreadingBranch {
				a.because("advise.columnar", fixed("Several upright stems belong to a columnar crown: reduce only what leans out of the outline."), commonPractice)
				return a.again(plan{verdict: Reduce, part: a.rules.EndWeightPct}), true
			}
			a.because("advise.columnar", fixed("Several upright stems belong to a columnar crown: it stays."), commonPractice)
			return plan{verdict: Keep}, true
		}
	case scheduler.Weeping:
		if a.stemWithoutBark() {
			a.because("advise.weeping", fixed("A weeping crown needs no single leader: it stays."), commonPractice)
			return plan{verdict: Keep}, true
		}
	case scheduler.Small:
		return a.twoTopsPlan()
	}
	return plan{}, false
}

func (a *adviser) stemWithoutBark() bool {
	return (a.q.Role == CompetingLeader || a.q.Role == CompetingTop) && !a.q.IncludedBark
}

// pollardPlan takes shoots back to the head, whatever their role: the cycle
// takes all of them, so that no dose is counted.
func (a *adviser) pollardPlan() (plan, bool) {
	switch a.q.Role {
	case BrokenBranch, DiseasedBranch, Stub, BasalSprout, PermanentBranch:
		return plan{}, false
	}
	a.because("advise.pollard", fixed("A pollard's shoots are all cut back to the heads, never into the old heads, and its cycle is never skipped; the dose does not apply."), commonPractice)
	if a.judged >= 2 {
		a.because("advise.pollard_late", fixed("A shoot of this size says that a cycle was skipped."), commonPractice)
		return plan{verdict: HoldStem, ask: AskSupervisor, noDose: true}, true
	}
	return plan{verdict: Remove, part: 100, noDose: true}, true
}

// coniferPlan removes whole branches at the trunk and never cuts the leader:
// most conifers do not sprout from where they were cut back.
func (a *adviser) coniferPlan() (plan, bool) {
	switch a.q.Role {
	case BrokenBranch, DiseasedBranch, Stub, BasalSprout, PermanentBranch, TheLeader:
		return plan{}, false
	case EndWeight:
		a.because("advise.conifer", fixed("A conifer's branch is taken whole or left: its ends are not cut back."), commonPractice)
		return plan{verdict: Keep}, true
	}
	a.because("advise.conifer", fixed("A conifer's leader is never cut; a competing top or a low branch is taken whole at the trunk while small."), commonPractice)
	p := a.rolePlan()
	if a.q.Role == TemporaryBranch && p.verdict == Reduce && a.judged < 2 {
		return plan{verdict: Keep}, true // it is taken whole when its turn comes
	}
	if p.mayReduce = false; p.part > 0 && p.part < 100 {
		return plan{verdict: HoldStem, ask: AskSupervisor}, true
	}
	return p, true
}

// twoTopsPlan lets a small ornamental keep two tops: the weaker one's ends are
// lightened, or where bark is included it is reduced, and held.
func (a *adviser) twoTopsPlan() (plan, bool) {
	if a.q.Role != CompetingLeader && a.q.Role != CompetingTop {
		return plan{}, false
	}
	if a.cell == cellRemove || a.cell >= cellSupervisor || a.q.IncludedBark && a.cell == cellWithDose {
		return plan{}, false
	}
	p := plan{verdict: HoldStem, part: a.rules.EndWeightPct}
	if a.q.IncludedBark {
		p.part = a.rules.ReducePct
	}
	if a.cell == cellHoldAsk {
		p.ask = AskSupervisor
	}
	a.because("advise.two_tops", fixed("A small ornamental may keep two tops: lighten the ends of the weaker one, reduce it where bark is included, and look at the union at every visit."), commonPractice)
	return a.again(p), true
}
