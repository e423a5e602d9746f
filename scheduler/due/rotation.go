package due

import "limbround/scheduler"

// rotation adds the rotation prune of a tree past training: a number of
// seasons by size class after the last rotation prune, or the last visit.
func (d *draft) rotation() {
	t, c := d.t, &d.e.cal
	since := t.LastRotation
	word := "the rotation prune"
	if since.IsZero() {
		since, word = lastSeen(t), "the last visit"
	}
	class := d.sizeClass(since)
	k := scheduler.RotationPrune
	last := c.counted(since) + class.Years - 1
	grace := class.Grace
	if d.p.species.Habit == scheduler.Pollard {
		grace = 0 // a pollard's cycle is never skipped
	}
	w := d.season(k, c.after(last))
	if class.Years > 1 {
		w.Earliest, _ = d.span(k, c.after(last-1))
	}
	_, w.Latest = d.span(k, c.after(last+grace))
	i := d.add(task{kind: k, class: 4, w: ordered(w), need: d.e.practice.TrainingTakePct, skill: d.highSkill(w.Due)})
	s := d.say("Rotation prune ").seasons(class.Years).str(" after ").str(word).str(" of ").day(since)
	if class.UpTo > 0 {
		s = s.str(" (trunk up to ").width(class.UpTo).str(")")
	}
	d.because(i, "rotation.cycle", s.str(", at the latest ").day(w.Latest).str(".").end(), class.Source)
	d.endReason(i)
}

// sizeClass is the rotation class of the tree's trunk on a day.
func (d *draft) sizeClass(on scheduler.Date) *scheduler.RotationClass {
	classes := d.e.policy.Rotation.Classes
	dbh := d.at(on).DBH
	for i := range classes {
		if classes[i].UpTo == 0 || dbh <= classes[i].UpTo {
			return &classes[i]
		}
	}
	return &classes[len(classes)-1]
}

// highSkill is the crew for work all over the crown.
func (d *draft) highSkill(on scheduler.Date) scheduler.Skill {
	if h, limit := d.treeHeight(on), d.reachHeight(); limit > 0 && (h <= 0 || h > limit) { // a tree of unknown height counts as tall
		return scheduler.Lift
	}
	return scheduler.Ground
}
