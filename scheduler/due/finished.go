package due

import (
	"limbround/scheduler"
)

// A tree leaves training by recorded facts: its leader, its lowest permanent
// branch and the heights over walk and road. A stage that a record moved to
// rotation without them does not end the training of a tree that is still
// young enough for it.

// missing names the first of the facts that is not recorded as reached; empty
// for a tree that has them all, or that its growth habit asks none of.
func (d *draft) missing() string {
	for j := range d.t.Watch {
		w := &d.t.Watch[j]
		if !w.Resolved && upright(w.What) && (w.Intent == scheduler.RemoveLater || w.Intent == scheduler.DecideNext) {
			return "the leader"
		}
	}
	if d.p.species.Habit.LeaderRule() && d.permanentAt() > 0 && d.permanent() == 0 {
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

// reached reports whether the recorded base meets the legal height on the side
// as the crown stood at the last visit, or the side asks for nothing.
func (d *draft) reached(s *side) bool {
	if d.unreachable(s) {
		return true
	}
	seen := lastSeen(d.t)
	c := d.crownOf(s, seen)
	need := s.env.baseFor(&c, legal)
	return need == 0 || (s.base.Known() && c.base >= need)
}
