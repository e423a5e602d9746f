package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// A tree leaves training by recorded facts: its leader, its lowest permanent
// branch and the heights over walk and road. A stage that a record moved to
// rotation without them does not end the training of a tree that is still
// young enough for it, and the years planned for training do not end it for a
// tree that a record put into one of its stages.

// missing names the first of the facts that is not recorded as reached; empty
// for a tree that has them all, or that its growth habit asks none of.
func (d *draft) missing() string {
	for j := range d.t.Watch {
		w := &d.t.Watch[j]
		if !w.Resolved && upright(w.What) && (w.Intent == scheduler.RemoveLater || w.Intent == scheduler.DecideNext) {
			return "the leader"
		}
	}
	if d.lacksPermanent() {
		return "a lowest permanent branch high enough"
	}
	if s, ok := d.roadSide(); ok && !d.reached(&s) {
		return "the height over the road"
	}
	if s, ok := d.walkSide(); ok && !d.reached(&s) {
		return "the height over the walk"
	}
	return ""
}

// lacksPermanent reports whether the tree should have a lowest permanent
// branch and has none. A tree that never grows tall enough for one lacks nothing.
func (d *draft) lacksPermanent() bool {
	if !d.p.species.Habit.LeaderRule() || d.permanent() > 0 {
		return false
	}
	at, top := d.permanentAt(), d.topHeight()
	return at > 0 && (top == 0 || at*100 <= top*geo.Length(d.e.build.PermanentShare))
}

// reached reports whether the recorded base meets the legal height on the side
// as the crown stood at the last visit, or the side asks for nothing. Where the
// tree can never be raised to it, nothing is left to reach.
func (d *draft) reached(s *side) bool {
	c := d.crownOf(s, lastSeen(d.t))
	return s.meets(&c, legal) || d.neverRaised(s)
}

// lasts reports whether the side stays above the act-at height without any work
// until the first rotation prune of a tree that leaves training on the day. The
// base itself stands at the legal height then: how an underside rises is an
// assumption, and no ground to end a tree's training on.
func (d *draft) lasts(s *side, on scheduler.Date) bool {
	c := d.crownOf(s, addMonths(on, 12*d.sizeClass(on).Years))
	return s.meets(&c, actAt) && !d.toRaise(s, &c)
}

// toRaise reports whether the base of a crown that comes over the side is still below the legal height.
func (d *draft) toRaise(s *side, c *crown) bool {
	return c.radius > s.env.edge && s.base < s.env.high.Legal && !d.neverRaised(s)
}

// meets reports whether a recorded base meets what a level asks of a crown. The
// underside rises outward, so a base below the level can be high enough.
func (s *side) meets(c *crown, at level) bool {
	need := s.env.baseFor(c, at)
	return need == 0 || (s.base.Known() && c.base >= need)
}

// neverRaised reports whether the tree cannot be raised to the side's legal
// height at any age: for its species, for its growth on the region's curve, or
// for the line that it is held under.
func (d *draft) neverRaised(s *side) bool {
	if d.unreachable(s) {
		return true
	}
	top := d.topHeight()
	return top > 0 && top*geo.Length(100-d.e.policy.Training.LiveCrownMin)/100 < s.env.high.Legal
}

// topHeight is the height that the tree grows to at most: the end of its curve
// as it stands on it, its species' mature height, or the line above it; 0 when
// not known.
func (d *draft) topHeight() geo.Length {
	top := max(0, d.p.species.MatureHeight)
	if end := d.at(lastSeen(d.t) + century).Height; end > 0 && (top == 0 || end < top) {
		top = end
	}
	if limit := d.wireCap(); limit > 0 && (top == 0 || limit < top) {
		top = limit
	}
	return top
}

const century scheduler.Date = 36525 // days; no curve is published beyond

// unfinishedReason says why training goes on when the record, or the years
// planned for it, would have it over.
func (d *draft) unfinishedReason(i int) {
	switch {
	case d.unfinished == "":
	case d.t.Stage == scheduler.StageRotation:
		d.because(i, "training.unfinished", d.say("Recorded as past training, but ").str(d.unfinished).
			str(" is not recorded as reached: training goes on until it is written down.").end(), d.e.policy.Training.Source)
	default:
		d.because(i, "training.unfinished", d.say("Beyond the ").num(d.e.policy.Training.EndYears).str(" years planned for training, but ").str(d.unfinished).
			str(" is not recorded as reached: training goes on until it is written down.").end(), d.e.policy.Training.Source)
	}
}

// endReason says of a tree in rotation that nobody recorded as past training
// why it is there.
func (d *draft) endReason(i int) {
	if d.t.Stage == scheduler.StageRotation || !habitTrains(d.p.species.Habit) {
		return
	}
	s := d.say("Beyond the ").num(d.e.policy.Training.EndYears).str(" years planned for training")
	if lacks := d.missing(); lacks != "" {
		s = s.str("; ").str(lacks).str(" is not recorded as reached: write down what is")
	} else {
		s = s.str(", and leader, lowest permanent branch and heights are reached")
	}
	d.because(i, "training.end", s.str(".").end(), d.e.policy.Training.Source)
}
