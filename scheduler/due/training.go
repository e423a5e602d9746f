package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// The training visit.
//
// Its due season is the dormant season that follows a number of growing
// seasons: the stage's interval after the last training, or after planting
// the seasons of establishment. It may be pulled forward by one season. It is
// bounded from behind by the earliest of the stage's grace, the season before
// a branch to be removed later outgrows the small cut, the season before the
// leader work leaves ground reach, and the next check of a watch item; and
// from the front by the full growing season that must pass between the
// reduction of a stem and its removal.

// training adds the task of the next training visit.
func (d *draft) training() {
	e, rule := d.e, d.rule()
	c := &e.cal
	anchor, n, why := d.anchor()
	last := c.counted(anchor) + n - 1 // the growing season that completes the interval
	first := c.after(last)
	if why == sinceSeen {
		first = c.before(anchor) + 1 // the first that begins after that visit
	}
	k := scheduler.Training
	grace := rule.LatestPlus
	w := d.season(k, first)
	_, w.Latest = d.span(k, first+grace)
	if why == sinceTraining && n > 1 {
		w.Earliest, _ = d.span(k, first-1)
	}
	i := d.add(task{kind: k, class: 4, skill: scheduler.Ground})
	switch why {
	case sinceTraining:
		s, source := d.intervalText()
		d.because(i, "training.interval", s.str(": due ").seasons(n).str(" after the training visit of ").
			day(anchor).str(", at the latest ").day(w.Latest).str(".").end(), source)
	case sincePlanting:
		d.because(i, "training.first", d.firstVisitText(anchor, n), commonPractice)
		d.firstDose(i)
	default:
		d.because(i, "training.unrecorded", d.say("No training visit is on record; the tree was last seen on ").day(anchor).
			str(": due in ").season(first).str(".").end(), rule.Source)
	}
	d.unfinishedReason(i)
	d.permanentReason(i)
	d.watchBounds(i, &w, anchor)
	d.reachBound(i, &w)
	d.doseBound(i, &w)
	d.tasks[i].w = ordered(w)
	d.tasks[i].need = e.practice.TrainingTakePct
	d.tasks[i].skill = d.trainingSkill(d.tasks[i].w.Due)
}

// anchorKind says what the interval is counted from.
type anchorKind int

const (
	sinceTraining anchorKind = iota
	sincePlanting
	sinceSeen
)

// anchor is the day the interval is counted from and its length in growing seasons.
func (d *draft) anchor() (scheduler.Date, int, anchorKind) {
	t := d.t
	last := t.LastTraining
	if d.unfinished != "" {
		last = max(last, t.LastRotation) // the prune that was taken for the end of training
	}
	if !last.IsZero() {
		return last, d.seasons(stageIndex(d.stage)), sinceTraining
	}
	if !t.Planted.IsZero() && d.firstBy(t.Planted) >= max(d.e.start, 1) {
		return t.Planted, d.establishSeasons(), sincePlanting
	}
	return lastSeen(t), 1, sinceSeen
}

func (d *draft) firstVisitText(planted scheduler.Date, n int) phrase {
	s := d.say("First structural visit after ").seasons(n).str(" of establishment from planting on ").day(planted)
	switch {
	case d.t.Caliper > 0 && d.e.cold:
		s = s.str(" (about one for each inch of caliper, ").width(d.t.Caliper).str(")")
	case d.t.Caliper > 0:
		s = s.str(" (whatever the caliper, where winters do not stop growth)")
	}
	return s.str(".").end()
}

// firstDose says which figure of the doses by visit the first visit takes when
// the policy lets the planting itself take the first: nothing is on record for it.
func (d *draft) firstDose(i int) {
	r := &d.e.policy.Training
	if d.e.build.PlantingYear != scheduler.PlantingByTable || len(r.DoseByVisit) == 0 || d.t.Vigour == scheduler.VigourPoor || !d.p.species.Habit.LeaderRule() {
		return
	}
	d.because(i, "training.first_dose", d.say("No training at planting is on record, so the first figure of the live crown by visit applies: ").
		num(r.DoseByVisit[0]).str(" %.").end(), r.DoseSource)
}

// season is the window of the dormant season of a year, cut to the days on
// which the kind may be done.
func (d *draft) season(k scheduler.WorkKind, year int) scheduler.Window {
	from, to := d.span(k, year)
	return scheduler.Window{Earliest: from, Due: from, Latest: to}
}

func (d *draft) span(k scheduler.WorkKind, year int) (from, to scheduler.Date) {
	from, to = d.e.cal.dormantIn(year)
	return d.p.fit(k, from, to)
}

// ordered puts a window whose bounds crossed back in order: the hard end wins
// over the due day, and the due day over the first.
func ordered(w scheduler.Window) scheduler.Window {
	w.Due = min(w.Due, w.Latest)
	w.Earliest = min(w.Earliest, w.Due)
	return w
}

// reachBound bounds the window by the last season in which a ground crew still
// reaches the leader work.
func (d *draft) reachBound(i int, w *scheduler.Window) {
	if !d.leaderWork() {
		return
	}
	limit := d.reachHeight()
	if limit == 0 || d.at(w.Latest).Height <= limit || d.at(w.Due).Height > limit {
		return
	}
	c := &d.e.cal
	for y := c.before(w.Due); ; y++ {
		_, end := d.span(scheduler.Training, y+1)
		if d.at(end).Height > limit {
			_, last := d.span(scheduler.Training, y)
			if last < w.Latest {
				w.Latest = last
				d.tasks[i].deadline = last
				d.because(i, "training.reach", d.say("Leader work stays within ground reach, ").height(d.e.policy.Training.Reach).
					str(", until the tree is about ").height(limit).str(" tall: after ").day(last).str(" it needs a lift.").end(), d.e.policy.Training.ReachSource)
			}
			return
		}
		if end >= w.Latest {
			return
		}
	}
}

// leaderWork reports whether the visit works on the leader, high in the tree.
func (d *draft) leaderWork() bool {
	return d.p.species.Habit.LeaderRule() && (d.stage == scheduler.StageEstablishing || d.stage == scheduler.StageLeader || d.stage == scheduler.StageTemporaries)
}

// reachHeight is the tree height at which leader cuts pass ground reach.
func (d *draft) reachHeight() geo.Length {
	return d.e.policy.Training.Reach * 100 / geo.Length(d.e.practice.LeaderWorkPct)
}

// doseBound moves the window behind the growing season whose live crown has
// been taken already.
func (d *draft) doseBound(i int, w *scheduler.Window) {
	t, c := d.t, &d.e.cal
	limit, _ := d.doseLimit()
	if t.DoseUsed == 0 || limit == 0 || limit-t.DoseUsed >= d.e.practice.TrainingTakePct {
		return
	}
	next := d.season(scheduler.Training, c.after(t.DoseSeason))
	if next.Due <= w.Earliest {
		return
	}
	w.Earliest = next.Due
	w.Due = max(w.Due, next.Due)
	w.Latest = max(w.Latest, next.Latest)
	d.because(i, "training.dose", d.say("Dose reached: ").num(t.DoseUsed).str(" % of the live crown was taken in the growing season ").
		growing(t.DoseSeason).str(", at most ").num(limit).str(" % may be: the rest waits for the next.").end(), d.e.policy.Training.DoseSource)
}

// trainingSkill is the crew the training visit needs on a day.
func (d *draft) trainingSkill(on scheduler.Date) scheduler.Skill {
	high := d.leaderWork()
	for i := range d.t.Watch {
		w := &d.t.Watch[i]
		high = high || (!w.Resolved && w.Intent != scheduler.WatchOnly && upright(w.What))
	}
	if limit := d.reachHeight(); high && limit > 0 && d.at(on).Height > limit {
		return scheduler.Lift
	}
	if h := d.crownFloor(on); !d.leaderWork() && d.e.policy.Training.Reach > 0 && h > d.e.policy.Training.Reach {
		return scheduler.Lift // raising cuts lie at about the height of the new base
	}
	return scheduler.Ground
}
