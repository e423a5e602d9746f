package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// rolePlan is what the role of the branch asks for.
func (a *adviser) rolePlan() plan {
	q, half := a.q, a.rules.ReducePct
	if q.Intent == scheduler.HoldTier && (q.Role == CompetingLeader || q.Role == CompetingTop) && a.cell < cellSupervisor {
		a.because("advise.held", fixed("Held as lower tier by an earlier visit: a held stem is reduced again at every visit."), commonPractice)
		p := plan{verdict: HoldStem, part: half}
		if a.cell == cellHoldAsk {
			p.ask = AskSupervisor
		}
		return a.again(p)
	}
	switch q.Role {
	case TheLeader:
		a.because("advise.leader", fixed("This is the leader: it stays, and its tip is not cut."), commonPractice)
		return plan{verdict: Keep}
	case PermanentBranch:
		return a.permanentPlan()
	case BrokenBranch, DiseasedBranch, Stub, BasalSprout:
		return a.soundPlan()
	case CompetingLeader, CompetingTop:
		a.because("advise.competing", fixed("One leader leads: a competing stem is removed while small, or reduced so that it falls behind."), a.d.e.policy.Training.Source)
		return a.byTable(false)
	case CrossingBranch:
		s := a.d.say("Of two branches that cross or rub, the lesser goes, or is taken back until it is clear")
		if q.Contact > 0 {
			s = s.str(": they touch over ").width(q.Contact)
		}
		a.because("advise.crossing", s.str(".").end(), commonPractice)
		return a.byTable(true)
	case PressingBranch:
		return a.pressingPlan()
	case IntoScaffold:
		a.because("advise.into_scaffold", fixed("A low limb that grows up into the scaffold is no candidate for the lowest permanent branch: it goes while small."), commonPractice)
		return a.byTable(true)
	case CrowdingBranch:
		a.because("advise.crowding", fixed("Inside a leader only what crowds a better branch goes; the inside is never stripped."), commonPractice)
		return a.byTable(false)
	case TemporaryBranch:
		return a.temporaryPlan()
	case EndWeight:
		a.because("advise.end_weight", fixed("End weight comes off at side branches near the end of the limb; the inside is never stripped."), commonPractice)
		return a.again(plan{verdict: Reduce, part: a.rules.EndWeightPct})
	}
	return a.sidePlan()
}

// permanentPlan keeps a permanent branch, and slows one that is too thick.
func (a *adviser) permanentPlan() plan {
	d := a.d
	if a.column < 2 {
		a.because("advise.permanent", fixed("A permanent branch stays."), d.e.policy.Training.Source)
		return plan{verdict: Keep}
	}
	a.because("advise.permanent", d.say("A permanent branch stays below ").num(percent(d.p.cuts.ratios[1])).str(" % of its parent stem: it is at ").num(a.out.RatioNow).
		str(" %, so it is reduced to slow it.").end(), d.e.policy.Training.Source)
	return a.again(plan{verdict: Reduce, part: a.rules.ReducePct})
}

// soundPlan is for wood that cannot stay: what is broken or diseased, a stub
// with live shoots, a basal sprout. Reducing it in steps mends nothing.
func (a *adviser) soundPlan() plan {
	switch a.q.Role {
	case BrokenBranch:
		a.because("advise.broken", fixed("A broken branch is cut back to sound wood: to the collar, or to a side branch at least a third of the cut stem."), commonPractice)
	case DiseasedBranch:
		s := a.d.say("Diseased wood goes, cut well below what shows; disinfect the tools between cuts")
		if z := a.d.p.sanitation; z != "" {
			s = s.str(" and keep the wood in its zone (").str(z).str(")")
		}
		a.because("advise.diseased", s.str(".").end(), commonPractice)
	case Stub:
		a.because("advise.stub", fixed("A stub is cut to the branch collar, never flush."), commonPractice)
	default:
		a.because("advise.sprout", fixed("Basal sprouts go, at their origin and while small."), commonPractice)
	}
	a.tableReason()
	switch {
	case a.judged < 2, a.cell == cellReason:
		return plan{verdict: Remove, part: 100}
	case a.cell == cellAssessor:
		return plan{verdict: HoldStem, ask: AskAssessor}
	}
	return plan{verdict: HoldStem, ask: AskSupervisor}
}

// temporaryPlan shortens temporary branches first and takes the largest first,
// before they pass the diameter by which they are out; the twiggy ones stay longest.
func (a *adviser) temporaryPlan() plan {
	d, q, o := a.d, a.q, &a.out
	limit := a.d.e.build.TemporaryCut
	next := max(q.Diameter, o.CutNext)
	switch {
	case next > limit:
		a.because("advise.temporary", d.say("Temporary branches are out by ").width(limit).str(", the largest first: this one would be ").width(next).str(" at the next visit.").end(), commonPractice)
		return a.byTable(false)
	case q.Side == scheduler.SideWalk || q.Side == scheduler.SideRoad || 2*q.Diameter >= limit:
		a.because("advise.temporary", d.say("A temporary branch is taken back before it is taken out, on the walk and road side from day one; it stays below ").width(limit).str(" until the next visit.").end(), commonPractice)
		return a.again(plan{verdict: Reduce, part: a.rules.ReducePct})
	}
	a.because("advise.temporary", fixed("A twiggy temporary branch thickens and shades the trunk: it stays longest."), commonPractice)
	return plan{verdict: Keep}
}

// sidePlan is for a branch over the walk or the lane: it goes when the crown
// may be raised past it, and is taken back until then.
func (a *adviser) sidePlan() plan {
	d, q := a.d, a.q
	where := "the walk line"
	if q.Role == LaneSide {
		where = "the curb line"
	}
	floor := geo.None
	if d.at(q.On).Height > 0 {
		floor = d.crownFloor(q.On)
	}
	if floor <= 0 || q.Height == 0 || q.Height > floor {
		s := d.say("Taken back behind ").str(where)
		if floor > 0 {
			s = s.str(": today the crown may not be raised above ").height(floor).str(" (").num(d.e.policy.Training.LiveCrownMin).str(" % live crown, lowest permanent branch)")
		} else {
			s = s.str(": without the tree's height nobody can say how far the crown may be raised")
		}
		a.because("advise.side", s.str(".").end(), d.e.policy.Training.CrownSource)
		return a.again(plan{verdict: Reduce, part: a.rules.ReducePct})
	}
	a.because("advise.side", d.say("It stands at ").height(q.Height).str(", below the ").height(floor).str(" to which the crown may be raised today.").end(), d.e.policy.Training.CrownSource)
	return a.byTable(false)
}
