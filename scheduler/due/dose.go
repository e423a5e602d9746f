package due

import "limbround/scheduler"

// matureDose is the live crown to take of a tree at three quarters of its
// mature height or more, 5 to 10 per cent: Colorado State Univ. Extension, Pueblo.
const (
	matureDose   = 10
	matureSource = "Colorado State Univ. Extension, Pueblo: 5 to 10 % of a mature crown"
)

// doseLimit is the live crown that may be taken in one growing season, per
// cent, and where the figure comes from. A crown under stress gives none. The
// first training visits follow the policy's table by visit; the place in the
// table of a tree trained before is read from the time between planting and
// the last training, since the visits themselves may lie before the records.
func (d *draft) doseLimit() (pct int, source string) {
	r := &d.e.policy.Training
	if d.t.State != "" && d.t.State != scheduler.Alive {
		return 0, ""
	}
	if d.t.Vigour == scheduler.VigourPoor || d.p.species.Habit == scheduler.Palm { // of a palm dead fronds and fruit go, and nothing green
		return 0, commonPractice
	}
	switch d.stage {
	case scheduler.StageRotation:
		if m := d.p.species.MatureHeight; m > 0 && d.at(max(lastSeen(d.t), 1)).Height*4 >= m*3 {
			return matureDose, matureSource
		}
	case scheduler.StageUnknown:
	default:
		if i, ok := d.visitNumber(); ok && i < len(r.DoseByVisit) {
			return r.DoseByVisit[i], r.DoseSource
		}
	}
	if r.FlatDose == 0 && len(r.DoseByVisit) > 0 {
		return r.DoseByVisit[len(r.DoseByVisit)-1], r.DoseSource
	}
	return r.FlatDose, r.DoseSource
}

// visitNumber counts training visits from 0; false when it cannot be told.
func (d *draft) visitNumber() (int, bool) {
	t, c := d.t, &d.e.cal
	if t.LastTraining.IsZero() {
		return 0, true
	}
	if t.Planted.IsZero() {
		return 0, false
	}
	step := max(1, d.seasons(stageIndex(scheduler.StageLeader)))
	return 1 + max(0, c.counted(t.LastTraining)-c.counted(t.Planted))/step, true
}

// doseOn is the dose of a visit: the limit less what the growing season it
// counts against has given already.
func (d *draft) doseOn(on scheduler.Date) (left, used int) {
	limit, _ := d.doseLimit()
	if d.t.DoseUsed > 0 && d.e.cal.doseYear(on) == d.t.DoseSeason {
		used = d.t.DoseUsed
	}
	if d.plantingYear(on) {
		return 0, used
	}
	return max(0, limit-used), used
}

// plantingYear reports whether a cut on the day falls in the growing season of
// the planting under a policy that allows no live cut in it.
func (d *draft) plantingYear(on scheduler.Date) bool {
	c := &d.e.cal
	return d.e.build.PlantingYear == scheduler.PlantingDead && !d.t.Planted.IsZero() && c.doseYear(on) <= c.counted(d.t.Planted)
}

// doseText is the dose as the card prints it, for the tree and for each leader and side.
func (d *draft) doseText(on scheduler.Date) phrase {
	left, used := d.doseOn(on)
	s := d.say("Live crown to take, at most: ").num(left).str(" %")
	if used > 0 {
		s = s.str(" (").num(used).str(" % already taken in the growing season ").growing(d.t.DoseSeason).str(")")
	}
	if left > 0 {
		s = s.str(", and ").num(d.e.build.LeaderTakePct).str(" % of the foliage of any one leader or side")
	}
	return s.str("; dead wood does not count; stop there.").end()
}
