package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// searchSeasons is how many dormant seasons ahead a watched branch is followed.
const searchSeasons = 12

// watchBounds bounds a training window by what the last visit left: from behind
// by every deadline, and then from the front by the removals that must wait and
// still fit before the earliest deadline. The order of the items does not matter.
func (d *draft) watchBounds(i int, w *scheduler.Window, anchor scheduler.Date) {
	due := w.Due
	for j := range d.t.Watch {
		it := &d.t.Watch[j]
		if it.Resolved {
			continue
		}
		known := d.unionReason(i, it, due)
		later := it.Intent == scheduler.RemoveLater
		if later && it.Diameter > 0 && !known {
			d.smallCutBound(i, w, it)
		}
		// The next check of a branch to be removed later is the day from which it may go; the small cut bounds it from behind.
		if !it.NextCheck.IsZero() && (!later || it.Diameter <= 0) {
			d.checkBound(i, w, it, anchor)
		}
	}
	for j := range d.t.Watch {
		if it := &d.t.Watch[j]; !it.Resolved && it.Intent == scheduler.RemoveLater && !it.ReducedOn.IsZero() && d.unionOf(it, due) < middleUnion {
			d.twoStepBound(i, w, it)
		}
	}
}

// twoStepBound keeps one full growing season between the reduction of a branch and its removal.
func (d *draft) twoStepBound(i int, w *scheduler.Window, it *scheduler.WatchItem) {
	c := &d.e.cal
	start, _ := d.span(scheduler.Training, c.after(c.full(it.ReducedOn)))
	if start <= w.Earliest || start > w.Latest {
		return
	}
	w.Earliest, w.Due = start, max(w.Due, start)
	d.because(i, "training.two_step", d.say(it.Letter).str(" was reduced on ").day(it.ReducedOn).
		str(": not removed before one full growing season has passed, from ").day(start).str(".").end(), commonPractice)
}

// smallCutBound bounds the window by the last season in which a branch to be
// removed later is still a small cut, or within the limit of a temporary one.
func (d *draft) smallCutBound(i int, w *scheduler.Window, it *scheduler.WatchItem) {
	c := &d.e.cal
	first := c.after(c.counted(it.SeenOn)) // the first season in which it may go
	if !it.ReducedOn.IsZero() {
		first = max(first, c.after(c.full(it.ReducedOn)))
	}
	limit := d.cutFor(it)
	outcome, year := d.smallCut(it, limit, first, first+searchSeasons)
	if outcome == neverSmall && limit < d.p.cutMax { // past the limit of a temporary branch, but still a small cut
		limit = d.p.cutMax
		outcome, year = d.smallCut(it, limit, first, first+searchSeasons)
	}
	switch outcome {
	case smallUntil:
		start, end := d.span(scheduler.Training, year)
		if end >= w.Latest {
			return
		}
		w.Latest, w.Due = end, min(w.Due, start)
		d.bound(i, end)
		rule, what, source := "training.small_cut", " %, past the small cut of ", d.p.cutSource
		if limit < d.p.cutMax {
			rule, what, source = "training.temporary", " %, past the limit of a temporary branch, ", d.e.build.Source
		}
		next := d.branchAt(it, d.seasonEnd(year+1))
		d.because(i, rule, d.item(it, "").str(": by ").day(d.seasonEnd(year+1)).str(" about ").
			width(geo.Length(next.branch+0.5)).str(" at ratio ").num(percent(next.ratio())).str(what).
			width(limit).str(" and ").num(percent(d.p.smallRatio)).str(" %: out by ").day(end).str(".").end(), source)
	case neverSmall:
		d.because(i, "training.never_small", d.item(it, "").
			str(": this will never be a small cut (").width(d.p.cutMax).str("): take it now or hold it for good; the qualified person at the tree decides.").end(), d.e.policy.Training.CutSource)
	case ratioFirst, staysSmall:
	}
}

func (d *draft) seasonEnd(year int) scheduler.Date {
	_, end := d.span(scheduler.Training, year)
	return end
}

// checkBound bounds the window by the day on which the last visit wanted an
// item looked at again.
func (d *draft) checkBound(i int, w *scheduler.Window, it *scheduler.WatchItem, anchor scheduler.Date) {
	if it.NextCheck <= anchor {
		return
	}
	start, end := d.span(scheduler.Training, d.e.cal.before(it.NextCheck))
	if end >= w.Latest || end <= anchor {
		return
	}
	w.Latest, w.Due = end, min(w.Due, start)
	d.because(i, "training.next_check", d.item(it, "").str(" is to be looked at by ").day(it.NextCheck).str(", as the last visit left it.").end(), "work record")
}

// bound notes the earliest hard deadline of a task.
func (d *draft) bound(i int, by scheduler.Date) {
	if t := &d.tasks[i]; t.deadline.IsZero() || by < t.deadline {
		t.deadline = by
	}
}

// item starts a phrase with a watch item: "re-reduce B (competing top, 2.10 m
// (6.9 ft) up, road side, 56 mm (2.2 in))".
func (d *draft) item(it *scheduler.WatchItem, verb string) sentence {
	s := d.say(verb).str(it.Letter).str(" (").str(it.What)
	if it.Height.Known() && it.Height > 0 {
		s = s.str(", ").height(it.Height).str(" up")
	}
	if it.Side != "" {
		s = s.str(", ").str(sideWord(it.Side))
	}
	if it.Diameter > 0 {
		s = s.str(", ").width(it.Diameter)
	}
	if it.IncludedBark {
		s = s.str(", included bark")
	}
	return s.str(")")
}

func sideWord(s scheduler.Side) string {
	switch s {
	case scheduler.SideRoad:
		return "road side"
	case scheduler.SideWalk:
		return "walk side"
	case scheduler.SideUpStreet:
		return "up-street side"
	case scheduler.SideDownStreet:
		return "down-street side"
	}
	return string(s)
}

// watchObjectives writes what today's visit does about each item; at most room
// lines, the last of which gathers the items that did not get a line.
func (d *draft) watchObjectives(list []phrase, room int, on scheduler.Date) (out []phrase) {
	out = list
	group := d.temporariesOn(on)
	if group.all < 2 {
		group = temporaries{}
	}
	open := 0
	for j := range d.t.Watch {
		if listed(&d.t.Watch[j]) && !group.has(j) {
			open++
		}
	}
	if group.all > 0 {
		room--
		defer func() { out = append(out, d.temporaryObjective(&group)) }()
	}
	done := 0
	for j := range d.t.Watch {
		it := &d.t.Watch[j]
		if !listed(it) || group.has(j) {
			continue
		}
		if done == room-1 && open > room {
			s := d.say("Then ")
			for k := j; k < len(d.t.Watch); k++ {
				if w := &d.t.Watch[k]; listed(w) && !group.has(k) {
					if k > j {
						s = s.str("; ")
					}
					s = d.shortItem(s, w)
				}
			}
			return append(out, s.str(".").end())
		}
		out = append(out, d.itemObjective(it, on))
		done++
	}
	return out
}

// listed reports whether every visit that prunes says what becomes of the item:
// a hidden sign has a visit of its own.
func listed(w *scheduler.WatchItem) bool { return !w.Resolved && !hides(w) }

// shortItem adds an item in a few words: "reduce again and hold C (2.20 m (7.2 ft) up, 50 mm (2.0 in))".
func (d *draft) shortItem(s sentence, it *scheduler.WatchItem) sentence {
	switch it.Intent {
	case scheduler.HoldTier:
		s = s.str("reduce again and hold ")
	case scheduler.RemoveLater:
		s = s.str("remove or reduce ")
	case scheduler.WatchOnly:
		s = s.str("look at ")
	default:
		s = s.str("decide on ")
	}
	s = s.str(it.Letter).str(" (").height(it.Height).str(" up")
	if it.Diameter > 0 {
		s = s.str(", ").width(it.Diameter)
	}
	return s.str(")")
}

func (d *draft) itemObjective(it *scheduler.WatchItem, on scheduler.Date) phrase {
	pct := percent(d.p.smallRatio)
	if p, ok := d.unionObjective(it, on); ok {
		return p
	}
	switch it.Intent {
	case scheduler.HoldTier:
		if d.spent(it, on) {
			return d.item(it, "Leave ").str(": reduced on ").day(it.ReducedOn).str(", and of one leader no more than ").num(d.e.build.LeaderTakePct).
				str(" % of the foliage goes in a growing season.").end()
		}
		return d.item(it, "Reduce again ").str(" to a side branch at least a third of its diameter; hold it as lower tier.").end()
	case scheduler.RemoveLater:
		if !d.waited(it, on) {
			return d.item(it, "Leave ").str(": one full growing season must pass after its reduction of ").day(it.ReducedOn).str(".").end()
		}
		if now := d.branchAt(it, on); it.Diameter > 0 && now.branch > float64(d.p.cutMax) {
			return d.item(it, "Decide on ").str(": about ").width(geo.Length(now.branch + 0.5)).
				str(" now and no longer a small cut: take it today or hold it for good, and write it down.").end()
		}
		return d.item(it, "Remove ").str(" if it is no more than ").num(pct).str(" % of its parent stem and the cut no more than ").
			width(d.cutFor(it)).str("; else reduce it again.").end()
	case scheduler.WatchOnly:
		return d.item(it, "Look at ").str("; a crack, a hanger or decay: stop, keep people out from under it, and call.").end()
	}
	return d.item(it, "Decide on ").str(": keep, reduce or remove; write the intent down.").end()
}
