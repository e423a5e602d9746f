package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// Overhead lines. The card of a crew shows the approach distance of persons
// without line-clearance qualification and who may work; never a qualified
// worker's distances. A line of unknown class or voltage is energised; a line's
// position on the map is not verified on site; a communication line is not a
// power line but is named all the same.
//
// The approach zone of a line is taken as all that lies above its height less
// the approach distance, over the strip within that distance to its sides. The
// top of a tree enters it in the first growing season at whose end the curve's
// height is above that level and the crown within the strip. The dormant season
// before is the last in which a ground crew works near the top.

// powered reports whether the site has a line that is or may be energised.
func (d *draft) powered() bool {
	switch d.s.WireClass {
	case "", scheduler.WireNone, scheduler.WireComms:
		return false
	}
	return true
}

// approach is the approach distance of the site's line.
func (d *draft) approach() geo.Length { return d.e.policy.Wires.Distance(d.s.WireVolts) }

// wireNear reports whether a power line comes within the approach distance of
// the crown in the horizontal on a day.
func (d *draft) wireNear(on scheduler.Date) bool {
	return d.powered() && (!d.s.ToWire.Known() || d.s.ToWire-d.radius(on) < d.approach())
}

// wireCap is the height under which the line crew keeps the tree: 0 for none.
func (d *draft) wireCap() geo.Length {
	s := d.s
	if !d.powered() || !s.WireHeight.Known() || s.WireHeight <= d.approach() || !s.ToWire.Known() || s.ToWire >= d.approach() {
		return 0
	}
	return s.WireHeight - d.approach()
}

// topInZone reports whether the top is in the approach zone on a day. A line
// without a recorded height counts as low enough.
func (d *draft) topInZone(on scheduler.Date) bool {
	return d.wireNear(on) && (!d.s.WireHeight.Known() || d.at(on).Height >= d.s.WireHeight-d.approach())
}

// wireSkill raises the skill of a visit that reaches the top of the tree when
// the top is in the approach zone.
func (d *draft) wireSkill(on scheduler.Date, high bool, skill scheduler.Skill) scheduler.Skill {
	if d.topInZone(on) && (high || !d.s.WireHeight.Known()) {
		return scheduler.LineClearance
	}
	return skill
}

// zoneYear is the growing season in which the top enters the approach zone of a
// line of known height; the year before the first one looked at when it is
// there already, and false when it does not enter within searchYears.
func (d *draft) zoneYear() (year int, ok bool) {
	if !d.powered() || !d.s.WireHeight.Known() {
		return 0, false
	}
	first := d.e.cal.counted(max(d.t.MeasuredOn, d.t.Planted, d.e.start, 1))
	return firstYear(first-1, first+searchYears, func(y int) bool {
		_, end := d.e.cal.growingIn(y)
		return d.topInZone(end)
	})
}

const searchYears = 40

// wires tells on the routine visit, the first task, when the top comes to a
// power line and whether the species can stay under it. A visit that works on
// the leader comes while a ground crew may still do it.
func (d *draft) wires() {
	d.zoneReason()
	limit, tall := d.wireCap(), d.p.species.MatureHeight
	if limit > 0 && tall > limit {
		d.because(0, "wires.replacement", d.say("Grows to about ").height(tall).str("; under a conductor at ").height(d.s.WireHeight).
			str(" the top has to stay below ").height(limit).str(" for good. The manager decides: replace it by a species that stays lower, or train this one to spread low, below the line.").end(), commonPractice)
	}
}

func (d *draft) zoneReason() {
	year, ok := d.zoneYear()
	if !ok {
		return
	}
	c := &d.e.cal
	gf, _ := c.growingIn(year)
	source := d.e.policy.Wires.Source
	if year < c.counted(max(d.t.MeasuredOn, d.t.Planted, d.e.start, 1)) {
		d.because(0, "wires.zone", d.say("The top is in the approach zone of the line, conductor at ").height(d.s.WireHeight).str(": from ").
			height(d.s.WireHeight-d.approach()).str(" up the work is for a line-clearance crew.").end(), source)
		return
	}
	last := c.before(gf)
	d.because(0, "wires.zone", d.say("By the growth curve the top enters the approach zone of the line, above ").height(d.s.WireHeight-d.approach()).
		str(", about ").num(year).str(": the last season for a ground crew near the top is ").season(last).
		str("; from then on the work above is for a line-clearance crew.").end(), source)
	k := &d.tasks[0]
	if k.kind != scheduler.Training || !d.leaderWork() {
		return
	}
	if _, end := d.span(k.kind, last); end >= k.w.Due && end < k.w.Latest {
		k.w.Latest, k.deadline = end, end
	}
}

// wireCaution writes the rule for the crew; false when there is no line.
func (d *draft) wireCaution(on scheduler.Date) (phrase, bool) {
	s := d.s
	if s.WireClass == scheduler.WireComms {
		return fixed("Communication line on the map, not verified on site: treat any line that is not identified as energised."), true
	}
	if !d.wireNear(on) {
		return phrase{}, false
	}
	t := d.say("Overhead line: ").str(string(s.WireClass))
	if s.WireHeight.Known() {
		t = t.str(", lowest conductor ").height(s.WireHeight)
	}
	t = t.str(" (map, not verified on site). Nobody without line-clearance qualification brings person, tool or falling piece within ").
		height(d.approach())
	if s.WireVolts > 50_000 {
		t = t.str(", the distance for ").num((s.WireVolts + 999) / 1000).str(" kV to ground")
	}
	unknown := s.WireVolts == 0 && (s.WireClass == scheduler.WireUnknown || s.WireClass == scheduler.WireTransmission)
	if unknown {
		t = t.str("; its voltage is not known: it counts as energised and nothing comes near until the utility answers")
	}
	if unknown || d.topInZone(on) {
		r := &d.e.policy.Wires
		t = t.str(". Utility request: ask ").num(r.RequestLead).str(" days before the work; the answer is good for ").num(r.RequestValid).str(" days")
	}
	return t.str(".").end(), true
}
