package due

import (
	"math"

	"limbround/geo"
)

// finish gives a plan its day, its side branch, its dose and its words.
func (a *adviser) finish(p plan) {
	q, o := a.q, &a.out
	p = a.oneHeight(p)
	p = a.lateral(p)
	p = a.dosed(p)
	o.Advice, o.Ask = p.verdict, p.ask
	o.Today = p.part > 0 && (p.ask == "" || p.part < 100)
	if !a.deadWood() && a.open != q.On {
		o.Today = false
	}
	if o.Today {
		if !p.noDose {
			o.Take = a.takes(p.part)
		}
		if p.part < 100 {
			o.ReducePart = p.part
		}
	}
	if p.part > 0 && p.part < 100 {
		o.ReduceTo = a.sideBranch(p.part)
	}
	if p.verdict == TwoSteps {
		a.steps(p)
	}
	switch {
	case p.unfinished:
		o.Unfinished = a.comesBack()
	case p.part > 0 && !o.Today && p.ask == "":
		o.Unfinished = a.opensLater()
	}
	if a.q.Stem == 0 && q.Role != BasalSprout && !a.deadWood() {
		a.because("advise.stem_not_measured", fixed("The parent stem was not measured and the trunk stands in for it: the ratio is higher than this. Measure just above the union."), commonPractice)
	}
	if o.ShareGuessed && p.part > 0 {
		a.because("advise.share", a.d.say("It carries about ").num(o.Share).str(" % of the live crown, from the cross-sections: judge it from the ground.").end(),
			"pipe model, Shinozaki et al. 1964, from memory")
	}
	a.cutSizes(p)
	a.lookAgain(p)
	o.Sentence = a.sentence(p)
}

// oneHeight never lets two large cuts stand at one height.
func (a *adviser) oneHeight(p plan) plan {
	if !a.q.SameHeight || p.part < 100 || p.noDose || a.q.Diameter <= a.d.p.cuts.rows[0] {
		return p
	}
	if a.cannotWait() {
		p.part, p.ask = 0, AskSupervisor
	} else {
		p.verdict, p.part = Reduce, a.rules.ReducePct
	}
	a.because("advise.one_height", fixed("Another large cut stands at this height: two would girdle the stem between them, so this one waits."), commonPractice)
	return p
}

// sideBranch is the least side branch to reduce to. The stem is cut where the
// foliage beyond is the part to come off, and its diameter there follows from
// the areas of the cross-sections.
func (a *adviser) sideBranch(part int) geo.Length {
	return geo.Length(math.Ceil(a.reduction(part) * float64(a.rules.LateralPct) / 100))
}

func (a *adviser) reduction(part int) float64 {
	return float64(a.q.Diameter) * math.Sqrt(float64(part)/100)
}

// lateral turns a reduction that has no side branch to go back to into a
// question for the supervisor: a cut to less is a heading cut.
func (a *adviser) lateral(p plan) plan {
	if p.part == 0 || p.part == 100 || a.q.Lateral == 0 {
		return p
	}
	need := a.sideBranch(p.part)
	if a.q.Lateral >= need {
		return p
	}
	a.because("advise.no_side_branch", a.d.say("The largest side branch is ").width(a.q.Lateral).str(" and ").width(need).
		str(" is needed, a third of the cut stem: to cut to less is to head it back.").end(), commonPractice)
	if p.ask != AskAssessor {
		p.ask = AskSupervisor
	}
	p.verdict, p.part = HoldStem, 0
	return p
}

// cutSizes compares the cut at the union now and at the next visit.
func (a *adviser) cutSizes(p plan) {
	d, o := a.d, &a.out
	if o.CutNext == geo.None || a.deadWood() || p.verdict == Keep && a.q.Role == TheLeader {
		return
	}
	s := closes(d.say("Cut at the union: now ").width(o.CutNow).str(" at ratio ").num(o.RatioNow).str(" %"), o.CloseNow)
	s = s.str("; left to the next visit, about ").day(o.NextVisit).str(", ").width(o.CutNext).str(" at ratio ").num(o.RatioNext).str(" %")
	if d.at(o.NextVisit).Beyond {
		a.because("advise.beyond", d.say("The tree is at the end of the published range of ").str(d.p.curve.Name).str(" and its growth is held there: measure at every visit.").end(),
			"McPherson, van Doorn & Peper 2016 (PSW-GTR-253)")
	}
	a.because("advise.cut_sizes", closes(s, o.CloseNext).str(".").end(), closeSource)
}

func closes(s sentence, r Seasons) sentence {
	s = s.str(", closes in ").num(r.From)
	if r.To > r.From {
		s = s.str(" to ").num(r.To)
	} else if r.To == 0 {
		return s.str(" growing seasons or more")
	}
	return s.str(" growing season").str(plural(max(r.From, r.To)))
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// lookAgain sends the crew leader back to the ground after a large cut.
func (a *adviser) lookAgain(p plan) {
	o := &a.out
	if o.Today && (p.part == 100 && a.q.Diameter > a.d.p.cutMax || o.Take >= a.d.e.practice.TrainingTakePct) {
		a.because("advise.look_again", fixed("Look again from the ground before the next large cut."), commonPractice)
	}
	if o.Today && p.part < 100 && geo.Length(a.reduction(p.part)) > a.d.p.cutMax {
		a.because("advise.several_cuts", a.d.say("Take it in several cuts, none above ").width(a.d.p.cutMax).str(" where that can be.").end(), a.d.e.policy.Training.CutSource)
	}
}

// sentence is the advice as it is read out.
func (a *adviser) sentence(p plan) string {
	d, o := a.d, &a.out
	s := d.say("")
	switch p.verdict {
	case Keep:
		s = s.str("Keep it; no cut")
	case Remove:
		s = s.str("Remove it at the collar, ").width(a.q.Diameter)
	case Reduce:
		s = s.str("Reduce it")
	case TwoSteps:
		s = s.str("Remove it in two steps")
	case HoldStem:
		if p.part == 0 && p.ask != "" {
			s = s.str("Leave it")
		} else {
			s = s.str("Hold it as lower tier")
		}
	case Stop:
	}
	switch {
	case p.part > 0 && p.part < 100:
		s = s.str(": take about ").num(p.part).str(" % of its foliage back to a side branch of at least ").width(o.ReduceTo)
	case p.part == 0 && (p.verdict == HoldStem || p.verdict == Reduce):
		s = s.str(", without a cut today")
	case p.verdict == TwoSteps && p.part == 0 && !p.reducedOn.IsZero():
		s = s.str(": the first is done, leave it today")
	}
	switch {
	case p.part == 0 || o.Today:
	case !a.deadWood() && a.open != a.q.On:
		s = s.str(", not before ").day(a.open)
	}
	if n := len(o.Steps); n > 0 {
		s = s.str("; remove it in the ").str(o.Steps[n-1].Season).str(" at the earliest")
	}
	if p.ask != "" {
		s = s.str("; ask the ").str(p.ask).str(" before the union is cut")
	}
	if p.unfinished {
		s = s.str("; ").str(o.Unfinished)
	}
	return a.text(s.str(".").end())
}
