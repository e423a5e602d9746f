package due

import "limbround/scheduler"

// mostObjectives is how many a crew keeps in mind at a tree.
const mostObjectives = 5

// objectives writes what the visit is for, in order: legal clearance first,
// then what the last visit left, then the stage's work, then the sides.
func (d *draft) objectives(t *trip, out []phrase, on scheduler.Date) []phrase {
	var urgent, sides [2]phrase
	nu, ns := 0, 0
	for _, i := range t.list() {
		k := &d.tasks[i]
		s, ok := d.sideOf(k.kind)
		if !ok {
			continue
		}
		p, ok := d.sideObjective(&s, d.answer(&s, on))
		switch {
		case ok && k.class <= 2:
			urgent[nu] = p
			nu++
		case ok:
			sides[ns] = p
			ns++
		}
	}
	out = append(out, urgent[:nu]...)
	tail := ns
	sight, inSight := phrase{}, false
	if d.has(t, scheduler.SightClearance) || d.has(t, scheduler.Training) {
		if sight, inSight = d.sightObjective(on); inSight {
			tail++
		}
	}
	var room [2]phrase
	signs := room[:0]
	if d.has(t, scheduler.SightClearance) {
		if p, ok := d.hiddenObjective(on); ok {
			out = append(out, p)
		}
		signs = d.signObjectives(signs, on)
		tail += len(signs)
	}
	var also [maxTasks]string
	na := d.besides(t, &also)
	if d.prunes(t) && len(d.t.Watch) > 0 && !d.leavesTop(t) {
		out = d.watchObjectives(out, 2-min(na, 1), on)
	}
	if d.stormWork(t) {
		tail++
	}
	for _, s := range also[:na] {
		if len(out)+tail >= mostObjectives {
			break
		}
		out = append(out, fixed(s))
	}
	for _, s := range d.work(t, on) {
		if len(out)+tail >= mostObjectives && len(out) > nu {
			break
		}
		out = append(out, fixed(s))
	}
	if d.stormWork(t) {
		out = append(out, fixed(d.p.storm.objective))
	}
	out = append(out, sides[:ns]...)
	if inSight {
		out = append(out, sight)
	}
	out = append(out, signs...)
	return out[:min(len(out), mostObjectives)]
}

func (d *draft) sideOf(k scheduler.WorkKind) (side, bool) {
	switch k {
	case scheduler.RoadClearance:
		return d.roadSide()
	case scheduler.WalkClearance:
		return d.walkSide()
	}
	return side{}, false
}

// work is the list of objectives of the trip's own kind, fixed texts.
func (d *draft) work(t *trip, on scheduler.Date) []string {
	if d.prunes(t) && d.t.Vigour == scheduler.VigourPoor {
		return stressWork
	}
	if d.prunes(t) && d.plantingYear(on) {
		return plantingWork
	}
	if d.leavesSides(t) && !d.has(t, scheduler.Removal) {
		return lineWork
	}
	for _, i := range t.list() {
		switch d.tasks[i].kind {
		case scheduler.Training:
			if own := habitObjectives(d.p.species.Habit); own != nil {
				return own
			}
			if d.stage == scheduler.StageEstablishing { // the first structural visit
				return d.e.stages[stageIndex(scheduler.StageLeader)].Objectives
			}
			return d.rule().Objectives
		case scheduler.RotationPrune:
			if own := habitObjectives(d.p.species.Habit); own != nil {
				return own
			}
			return rotationWork
		case scheduler.FirstLook:
			if habitTrains(d.p.species.Habit) && d.age(max(d.e.start, 1)) < float64(d.e.policy.Training.EndYears) && d.p.species.Habit.LeaderRule() {
				return lookYoung
			}
			return lookOld
		case scheduler.Establishment:
			return d.e.stages[stageIndex(scheduler.StageEstablishing)].Objectives
		case scheduler.Removal:
			return removalWork
		case scheduler.StumpGrinding:
			return stumpWork
		case scheduler.SightClearance:
			if !d.s.InSight {
				return signWork
			}
			return sightWork
		case scheduler.Restoration:
			return d.mends
		case scheduler.Inspection:
			return d.looks
		case scheduler.BasalSprouts:
			return sproutWork
		case scheduler.Watering:
			return d.e.water
		}
	}
	return nil
}

// limits writes what the visit must keep to.
func (d *draft) limits(t *trip, out []phrase, on scheduler.Date) []phrase {
	if !d.prunes(t) {
		return out
	}
	out = append(out, d.doseText(on))
	if d.p.species.Habit == scheduler.Palm {
		return append(out, fixed("Dead fronds and fruit only: every green frond stays."))
	}
	s := d.say("Cuts up to ").width(d.p.cutMax).str(" preferred; call before a cut above ").width(d.p.cuts.callAbove(d.p.species.Decay)).
		str("; above ").num(percent(d.p.smallRatio)).str(" % of the parent stem reduce first")
	if d.p.species.Decay == scheduler.DecayWeak {
		s = s.str(" (weak compartmentaliser: one row stricter)")
	}
	out = append(out, s.str(".").end())
	if d.t.Permanent > 0 || (d.has(t, scheduler.Training) && d.p.species.Habit.LeaderRule()) {
		out = append(out, d.permanentLimit(on))
	}
	if d.leavesSides(t) {
		return append(out, fixed("Work in and near the zone of the line only: the walk and road sides below it are the city crew's."))
	}
	if s, ok := d.roadSide(); ok {
		out = append(out, d.sideLimit(&s, d.answer(&s, on)))
	}
	if s, ok := d.walkSide(); ok {
		out = append(out, d.sideLimit(&s, d.answer(&s, on)))
	}
	return out
}
