package due

import (
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// trained lists the stages that have an interval of their own.
var trained = [...]scheduler.Stage{scheduler.StageEstablishing, scheduler.StageLeader, scheduler.StageTemporaries, scheduler.StageRaising}

func stageIndex(s scheduler.Stage) int {
	switch s {
	case scheduler.StageEstablishing:
		return 1
	case scheduler.StageLeader:
		return 2
	case scheduler.StageTemporaries:
		return 3
	case scheduler.StageRaising:
		return 4
	case scheduler.StageRotation:
		return 5
	}
	return 0
}

func (d *draft) rule() *scheduler.StageRule { return &d.e.stages[stageIndex(d.stage)] }

// seen reports whether any dated visit to the tree is on record.
func seen(t *scheduler.Tree) bool {
	return !t.LastVisit.IsZero() || !t.LastTraining.IsZero() || !t.LastRotation.IsZero() || !t.LastRaise.IsZero()
}

// lastSeen is the newest dated visit of any kind.
func lastSeen(t *scheduler.Tree) scheduler.Date {
	return max(t.LastVisit, t.LastTraining, t.LastRotation, t.LastRaise)
}

// settle decides which rules apply. The stage is the recorded one; it is not
// derived from age, except that a tree with records but no recorded stage
// starts in the leader stage while it is younger than the planned length of
// training, and goes to rotation when it is beyond it. A tree that a record put
// into a stage leaves training by its facts, however old it is. A tree without
// any record is not assessed, unless its planting is so recent that its first
// visit was still to come when the policy took effect.
func (d *draft) settle() {
	t := d.t
	d.stage = t.Stage
	if !habitTrains(d.p.species.Habit) {
		d.stage = scheduler.StageRotation
		if !seen(t) {
			d.stage = scheduler.StageUnknown
		}
		return
	}
	if !seen(t) {
		if d.stage == scheduler.StageRotation {
			d.stage = scheduler.StageUnknown
			return
		}
		if t.Planted.IsZero() || d.firstBy(t.Planted) < d.e.start {
			d.stage = scheduler.StageUnknown
			return
		}
		if d.stage == "" || d.stage == scheduler.StageUnknown {
			d.stage = scheduler.StageEstablishing
		}
		return
	}
	old := d.age(lastSeen(t)) >= float64(d.e.policy.Training.EndYears)
	switch {
	case old && structural(d.stage):
		if d.unfinished = d.missing(); d.unfinished == "" {
			d.stage = scheduler.StageRotation
		}
	case old:
		d.stage = scheduler.StageRotation
	case d.stage == scheduler.StageRotation:
		if t.Planted.IsZero() && !d.proj.Known() {
			return // of unknown age: what was recorded stands
		}
		if d.unfinished = d.missing(); d.unfinished != "" {
			d.stage = scheduler.StageRaising
		}
	case d.stage == "" || d.stage == scheduler.StageUnknown:
		d.stage = scheduler.StageLeader
		if t.LastTraining.IsZero() && !t.Planted.IsZero() && d.firstBy(t.Planted) >= lastSeen(t) {
			d.stage = scheduler.StageEstablishing
		}
	}
}

// structural reports whether a stage is one of structural work, after establishment.
func structural(s scheduler.Stage) bool {
	return s == scheduler.StageLeader || s == scheduler.StageTemporaries || s == scheduler.StageRaising
}

// age is the years since planting, or the equivalent age on the growth curve
// for a tree whose planting date is not known.
func (d *draft) age(on scheduler.Date) float64 {
	if !d.t.Planted.IsZero() {
		return d.t.Planted.YearsTo(on)
	}
	return d.at(on).Age
}

// establishSeasons is the time from planting to the first structural visit:
// where winters stop growth about one growing season for each inch of caliper
// (common practice), and the policy's interval when the caliper was not
// recorded or winters do not stop growth and a planted tree grows on at once.
func (d *draft) establishSeasons() int {
	if d.t.Caliper <= 0 || !d.e.cold {
		return max(1, d.e.stages[stageIndex(scheduler.StageEstablishing)].Seasons)
	}
	return max(1, int(d.t.Caliper.Inches()+0.5))
}

// coldRegion reports whether the winters of a climate region stop growth.
func coldRegion(code string) bool {
	r, ok := growth.RegionOf(code)
	return ok && r.Cold
}

// firstBy is the last day of the window of the first structural visit.
func (d *draft) firstBy(planted scheduler.Date) scheduler.Date {
	c := &d.e.cal
	y := c.counted(planted) + d.establishSeasons() - 1 + d.e.stages[stageIndex(scheduler.StageEstablishing)].LatestPlus
	_, to := c.dormantIn(c.after(y))
	return to
}
