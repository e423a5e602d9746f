package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// Clearance, from the recorded crown base, the crown's growth and the profile.
//
// Branches do not move up the trunk: the base is the recorded one, by side, and
// only sags as the limbs lengthen, up to the species' droop; from there the
// underside rises outward (crown.go). The crown grows outward along the curve;
// a side that could not be raised was cut back at the last clearance visit, far
// enough to stay clear for one interval, and grows out again from there at the
// slowed rate of a reduced branch. The encroachment date is the first growing
// season in which the underside hangs where the profile asks for more. A base
// that nobody recorded never sets a date of its own: the curve's crown base is
// a prior, and is said to be one.
//
// A crown that could be raised and hangs below a legal height is work of
// weeks. A young tree that is too small for it cannot be raised there by
// anybody: its lane or walk side is reduced by its next training visit, as
// every training visit does, unless it stands in a sight triangle.

// side is one side of the tree and the envelope on it.
type side struct {
	kind scheduler.WorkKind
	word string // "Road side", "Walk side"
	env  envelope
	base geo.Length // recorded lowest foliage, geo.None when nobody has
}

func (d *draft) roadSide() (side, bool) {
	v, ok := d.e.roadEnvelope(d.s)
	return side{kind: scheduler.RoadClearance, word: "Road side", env: v, base: d.t.BaseRoad}, ok
}

func (d *draft) walkSide() (side, bool) {
	v, ok := d.e.walkEnvelope(d.s)
	return side{kind: scheduler.WalkClearance, word: "Walk side", env: v, base: d.t.BaseWalk}, ok
}

func (d *draft) road() {
	if s, ok := d.roadSide(); ok {
		d.clearance(&s)
	}
}

func (d *draft) walk() {
	if s, ok := d.walkSide(); ok {
		d.clearance(&s)
	}
}

// radius is the crown's radius on a day.
func (d *draft) radius(on scheduler.Date) geo.Length { return max(0, d.at(on).Crown/2) }

// interval is the number of years a visit has to last.
func (d *draft) interval() int {
	if i := stageIndex(d.stage); i >= 1 && i <= 4 {
		return d.seasons(i)
	}
	return max(1, d.e.policy.Clearance.LookAhead)
}

// reach is how far the foliage stands out from the trunk on a side.
func (d *draft) reach(s *side, on scheduler.Date) geo.Length {
	r := d.radius(on)
	cut := d.t.LastRaise
	if cut.IsZero() || on < cut || !s.base.Known() {
		return r
	}
	then, until := d.radius(cut), addMonths(cut, 12*d.interval())
	grown := d.crownOf(s, until)
	free := s.env.free(&grown, actAt)
	if d.radius(until) <= free {
		return r // the side needed no cut to last
	}
	slowed := geo.Length(d.e.practice.ReducedPct)
	lasts := (d.radius(until) - then) * slowed / 100
	back := min(then, max(s.env.edge/4, free-lasts))
	return min(r, back+(r-then)*slowed/100)
}

// sag is how much lower the base hangs on a day than when it was recorded.
func (d *draft) sag(on scheduler.Date) geo.Length {
	if d.t.BaseOn.IsZero() || on <= d.t.BaseOn {
		return 0
	}
	now, then := d.radius(on), d.radius(d.t.BaseOn)
	if now <= then || now == 0 {
		return 0
	}
	return geo.Length(int64(d.p.species.Droop) * int64(now-then) / int64(now))
}

// encroaches reports whether the side breaks the given level on a day.
func (d *draft) encroaches(s *side, on scheduler.Date, at level) bool {
	c := d.crownOf(s, on)
	return d.reach(s, on) > s.env.free(&c, at)
}

// firstGrowing is the first growing season from the year on at whose end the
// side breaks the level; false when none up to the last year does. The curves
// are made monotone and a recorded base only sags, so a side that once breaks
// the level goes on breaking it, and halving finds the year.
func (d *draft) firstGrowing(s *side, from, last int, at level) (int, bool) {
	return firstYear(from, last, func(y int) bool {
		_, end := d.e.cal.growingIn(y)
		return d.encroaches(s, end, at)
	})
}

// clearance adds the task of one side, if the side needs one before the visit
// after the next routine one.
func (d *draft) clearance(s *side) {
	routine := d.tasks[0].w
	if !s.base.Known() {
		if d.tasks[0].kind == scheduler.Training {
			d.expected(s, routine)
		}
		return
	}
	fact := max(d.t.BaseOn, d.t.LastRaise)
	if fact.IsZero() {
		fact = max(d.t.MeasuredOn, d.t.Planted, d.e.start)
	}
	if d.encroaches(s, fact, legal) {
		if d.tooSmall(s, fact) {
			d.atTraining(s, fact, fact, routine)
			return
		}
		d.breach(s, fact)
		return
	}
	c := &d.e.cal
	first := c.counted(fact)
	last, _, _ := civil(addMonths(max(routine.Due, fact), 12*d.interval()))
	last = min(last, first+40)
	year, ok := d.firstGrowing(s, first, last, actAt)
	if !ok {
		return
	}
	if _, end := c.growingIn(year); d.tooSmall(s, end) {
		d.atTraining(s, fact, end, routine)
		return
	}
	d.encroachment(s, fact, year)
}

// tooSmall reports whether the side's legal height is out of reach of a tree
// still in training on a day: the base it would need is above what the least
// live crown leaves. What blocks a sight line is not let wait.
func (d *draft) tooSmall(s *side, on scheduler.Date) bool {
	if d.s.InSight && s.base < d.e.policy.Clearance.SightHigh {
		return false
	}
	young := d.stage != scheduler.StageRotation
	if d.stage == scheduler.StageUnknown {
		young = habitTrains(d.p.species.Habit) && d.age(on) < float64(d.e.policy.Training.EndYears)
	}
	c := d.crownOf(s, on)
	return young && s.env.baseFor(&c, legal) > d.crownFloor(on)
}

// atTraining joins a side that cannot be raised yet to the tree's next routine
// visit, seen or foreseen on the day at.
func (d *draft) atTraining(s *side, fact, at scheduler.Date, routine scheduler.Window) {
	t := task{kind: s.kind, class: 4, w: routine, skill: d.clearanceSkill(s, routine.Due)}
	rule := d.e.policy.Clearance.YoungTrees
	if rule == "" && at < routine.Latest {
		t.deadline = routine.Latest
	}
	i := d.add(t)
	c := d.crownOf(s, at)
	text := d.say(s.word).str(": lowest foliage ").height(s.base).str(" recorded on ").day(fact).
		str("; the crown, ").height(d.reach(s, at)).str(" out")
	if at > fact {
		text = text.str(" in the growing season ").growing(d.e.cal.doseYear(at))
	}
	text = text.str(", needs a base of ").height(s.env.baseFor(&c, legal)).str(" for the legal height and may be raised to ").
		height(d.crownFloor(at)).str(" at most: reduce the ")
	source := s.env.high.Source
	text = text.str(s.strip()).str(" side at the next visit")
	if rule != "" {
		text, source = text.str("; trees too young to be raised are excepted"), rule
	}
	d.because(i, ruleOf(s.kind), text.str(".").end(), source)
	d.notReachable(i, s)
}

// strip is what the side stands over.
func (s *side) strip() string {
	if s.kind == scheduler.WalkClearance {
		return "walk"
	}
	return "lane"
}

// breach is a side that was below the legal height when it was recorded.
func (d *draft) breach(s *side, fact scheduler.Date) {
	by := fact.AddDays(d.e.practice.LegalDays)
	w := scheduler.Window{Earliest: fact, Due: fact, Latest: by}
	out, over := d.reach(s, fact), d.crownOf(s, fact)
	at, _ := s.env.worst(&over, legal)
	i := d.add(task{kind: s.kind, class: 2, w: w, deadline: by, need: d.raiseShare(s, fact), skill: d.clearanceSkill(s, fact)})
	d.because(i, ruleOf(s.kind), d.say(s.word).str(": lowest foliage ").height(s.base).str(" recorded on ").day(fact).
		str("; the crown, ").height(out).str(" out from the trunk, hangs at about ").height(over.base+geo.Length(over.lift(at))).
		str(" over the ").str(s.strip()).str(", ").height(at).str(" out, where ").height(s.env.heightAt(at, legal)).str(" is legal: within ").num(d.e.practice.LegalDays).str(" days.").end(), s.env.high.Source)
	d.notReachable(i, s)
}

// encroachment is a side that will pass the act-at height in a growing season.
func (d *draft) encroachment(s *side, fact scheduler.Date, year int) {
	c := &d.e.cal
	gf, _ := c.growingIn(year)
	first := c.at(fact)
	if fact == d.t.LastRaise { // clearance work leaves a side alone for one growing season
		first = c.after(c.counted(fact))
	}
	w := d.season(s.kind, max(c.before(gf), first))
	end := w.Latest
	w.Due = max(w.Due, fact)
	_, w.Latest = d.span(s.kind, c.before(w.Due)+1)
	w.Earliest, _ = d.span(s.kind, first)
	w.Earliest = max(w.Earliest, fact)
	t := task{kind: s.kind, class: 4, need: d.raiseShare(s, w.Due), skill: d.clearanceSkill(s, w.Due)}
	text := d.say(s.word).str(": lowest foliage ").height(s.base).str(" recorded on ").day(fact)
	_, leafEnd := c.growingIn(year)
	out, grown := d.reach(s, leafEnd), d.crownOf(s, leafEnd)
	text = text.str("; in the growing season ").growing(year).str(" the crown stands ").height(out).str(" out, where work is due at a base of ").height(s.env.baseFor(&grown, actAt))
	if ly, ok := d.firstGrowing(s, year, year+searchSeasons, legal); ok {
		lf, _ := c.growingIn(ly)
		_, t.deadline = d.span(s.kind, c.before(lf))
		w.Latest = min(w.Latest, max(t.deadline, end))
		text = text.str(", and in ").growing(ly).str(" below the legal height")
		if d.today >= lf {
			t.class = 2
		}
	}
	t.w = ordered(w)
	i := d.add(t)
	d.because(i, ruleOf(s.kind), text.str(".").end(), s.env.high.Source)
	d.notReachable(i, s)
}

// notReachable says that raising will never reach the legal height on the
// site: the site belongs on the list for replacement planting.
func (d *draft) notReachable(i int, s *side) {
	if !d.unreachable(s) {
		return
	}
	top, held := d.matureTop()
	t := d.say(s.word).str(": ").height(s.env.high.Legal).str(d.unreachableWord()).str(": ")
	if held {
		t = t.str("the top has to stay below ").height(top).str(", and ")
	}
	t = t.str("at ").num(d.e.policy.Training.LiveCrownMin).str(" % live crown a ")
	if !held {
		t = t.str("mature ")
	}
	d.because(i, "clearance.not_reachable", t.str("tree of ").height(top).str(" can be raised to ").height(d.matureFloor()).
		str("; list it for replacement planting.").end(), d.e.policy.Training.CrownSource)
}

// expected joins a side whose base nobody has recorded to the training visit,
// when the curve's prior says that it will need work there.
func (d *draft) expected(s *side, routine scheduler.Window) {
	a := d.answer(s, routine.Due)
	if a.raise == 0 && !a.reduce {
		return
	}
	i := d.add(task{kind: s.kind, class: 4, w: routine, skill: d.clearanceSkill(s, routine.Due)})
	d.because(i, ruleOf(s.kind), d.say(s.word).str(": lowest foliage not recorded, about ").height(a.base).
		str(" expected by the growth curve (a prior, not seen): look and measure; it sets no date.").end(), "growth curve "+d.p.curve.Name)
}

func ruleOf(k scheduler.WorkKind) string {
	if k == scheduler.WalkClearance {
		return "clearance.walk"
	}
	return "clearance.road"
}
