package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// Clearance, from the recorded crown base, the crown's growth and the profile.
//
// Branches do not move up the trunk: the base is the recorded one, by side, and
// only sags as the limbs lengthen, up to the species' droop. The crown grows
// outward along the curve; a side that could not be raised was cut back at the
// last clearance visit, far enough to stay clear for one interval, and grows
// out again from there at the slowed rate of a reduced branch. The encroachment date is the first growing season in
// which the crown, hanging at its base, stands where the profile asks for more
// than that. A base that nobody recorded never sets a date of its own: the
// curve's crown base is a prior, and is said to be one.

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
		return d.e.stages[i].Seasons
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
	free := s.env.free(s.base-d.sag(until), actAt)
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
	return d.reach(s, on) > s.env.free(s.base-d.sag(on), at)
}

// firstGrowing is the first growing season from the year on at whose end the
// side breaks the level; false when none up to the last year does. The curves
// are made monotone and a recorded base only sags, so a side that once breaks
// the level goes on breaking it, and halving finds the year.
func (d *draft) firstGrowing(s *side, from, last int, at level) (int, bool) {
	breaks := func(y int) bool {
		_, end := d.e.cal.growingIn(y)
		return d.encroaches(s, end, at)
	}
	if from > last || !breaks(last) {
		return 0, false
	}
	for from < last {
		if mid := (from + last) / 2; breaks(mid) {
			last = mid
		} else {
			from = mid + 1
		}
	}
	return last, true
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
		fact = max(d.t.MeasuredOn, d.t.Planted, d.e.policy.Effective)
	}
	if d.encroaches(s, fact, legal) {
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
	d.encroachment(s, fact, year)
}

// breach is a side that was below the legal height when it was recorded.
func (d *draft) breach(s *side, fact scheduler.Date) {
	by := fact.AddDays(d.e.practice.LegalDays)
	w := scheduler.Window{Earliest: fact, Due: fact, Latest: by}
	out := d.reach(s, fact)
	i := d.add(task{kind: s.kind, class: 2, w: w, deadline: by, need: d.raiseShare(s, fact), skill: d.clearanceSkill(s, fact)})
	d.because(i, ruleOf(s.kind), d.say(s.word).str(": lowest foliage ").height(s.base).str(" recorded on ").day(fact).
		str(", where the crown, ").height(out).str(" out from the trunk, must leave ").height(s.env.heightAt(out, legal)).
		str(": below the legal height, within ").num(d.e.practice.LegalDays).str(" days.").end(), s.env.high.Source)
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
	out := d.reach(s, leafEnd)
	text = text.str("; in the growing season ").num(year).str(" the crown stands ").height(out).str(" out, where work is due at ").height(s.env.heightAt(out, actAt))
	if ly, ok := d.firstGrowing(s, year, year+searchSeasons, legal); ok {
		lf, _ := c.growingIn(ly)
		_, t.deadline = d.span(s.kind, c.before(lf))
		w.Latest = min(w.Latest, max(t.deadline, end))
		text = text.str(", and in ").num(ly).str(" below the legal height")
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
	if d.unreachable(s) {
		d.because(i, "clearance.not_reachable", d.say(s.word).str(": ").height(s.env.high.Legal).
			str(" is not reachable by raising on this site: at ").num(d.e.policy.Training.LiveCrownMin).str(" % live crown a mature tree of ").
			height(d.p.species.MatureHeight).str(" can be raised to ").height(d.matureFloor()).str("; list it for replacement planting.").end(), d.e.policy.Training.CrownSource)
	}
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
