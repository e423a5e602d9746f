package due

import "limbround/scheduler"

// cautions writes what can hurt somebody or stop the work.
func (d *draft) cautions(t *trip, out []phrase, w scheduler.Window, state scheduler.VisitState) []phrase {
	if p, ok := d.wireCaution(t.works); ok {
		out = append(out, p)
	}
	switch d.s.StreetClass {
	case scheduler.Arterial, scheduler.Collector:
		out = append(out, fixed("Traffic: a traffic plan for this street class is needed before work over or beside the lane."))
	}
	out = d.seasonCautions(t, out, w, state)
	if s := d.p.sanitation; s != "" && !d.has(t, scheduler.Watering) {
		out = append(out, d.say("Sanitation (").str(s).str("): disinfect tools; wood stays in its zone; chips go to a site that takes it.").end())
	}
	if d.p.storm.caution != "" && d.prunes(t) {
		out = append(out, fixed(d.p.storm.caution))
	}
	if d.t.Vigour == scheduler.VigourPoor {
		out = append(out, fixed("Crown under stress on record: no live cut."))
	}
	if d.signNear(w.Due) {
		out = append(out, d.say("Sign or signal ").height(d.s.ToSign).str(" from the trunk: keep it in view.").end())
	}
	if d.lightNear(w.Due) {
		out = append(out, d.say("Street light ").height(d.s.ToLight).str(" from the trunk: keep it free.").end())
	}
	if d.at(w.Due).Beyond {
		out = append(out, d.say("Sizes are held at the end of the published range of ").str(d.p.curve.Name).str(": measure.").end())
	}
	return out[:min(len(out), maxLines)]
}

// seasonCautions names the closed seasons of the species, and the check-first
// and stop-on-find seasons that touch the window.
func (d *draft) seasonCautions(t *trip, out []phrase, w scheduler.Window, state scheduler.VisitState) []phrase {
	for i := range d.p.bans {
		if !d.touches(t, &d.p.bans[i]) {
			continue
		}
		r := d.p.bans[i].rule
		s := d.say("Closed season: ")
		if r.Kind == scheduler.SeasonAllowed {
			s = d.say("Work is allowed only from ")
		}
		s = s.monthDay(r.From).str(" to ").monthDay(r.To).str(" (").str(r.Authority).str(")")
		if !d.p.bans[i].kinds.has(scheduler.Removal) {
			s = s.str("; dead wood may be taken all year")
		}
		s = s.str("; an emergency cut outside the open season needs a named approver")
		if d.p.species.ClosedGroup == "oak" {
			s = s.str(", and the wound is painted at once")
		}
		out = append(out, s.str(".").end())
	}
	day := w.Due
	if state != scheduler.Upcoming && d.today > day {
		day = min(d.today, w.Latest)
	}
	for i := range d.p.advice {
		b := &d.p.advice[i]
		if b.rule.Kind == scheduler.SeasonPreferred || !b.inside(day) || !d.touches(t, b) {
			continue
		}
		head := "Check first: "
		if b.rule.Kind == scheduler.SeasonStopOnFind {
			head = "Stop on find: "
		}
		s := d.say(head).str(b.rule.Name).str(" (").str(b.rule.Authority)
		switch {
		case b.rule.Kind == scheduler.SeasonStopOnFind:
			s = s.str("): stop and call.")
		case b.rule.Survey > 0:
			s = s.str("): look no more than ").num(b.rule.Survey).str(" days before the work, and write down who looked.")
		default:
			s = s.str("): look before the work, within the days the authority sets.")
		}
		out = append(out, s.end())
	}
	return out
}

// touches reports whether a season is about any work of the trip.
func (d *draft) touches(t *trip, b *ban) bool {
	for _, i := range t.list() {
		if b.kinds.has(d.tasks[i].kind) {
			return true
		}
	}
	return false
}
