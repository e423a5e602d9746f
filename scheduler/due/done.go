package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// done changes the tree as its calendar assumes that a visit would: it is the
// model of a visit done in full and on time, and used for nothing else.
func (e *Engine) done(t *scheduler.Tree, s *scheduler.Site, v *scheduler.Visit, on scheduler.Date) {
	d := draft{e: e, t: t, s: s, today: on, buf: make([]byte, 0, 1<<10)}
	if d.p = e.species[t.Species]; d.p == nil {
		d.p = e.other
	}
	d.proj = d.p.curve.Project(*t, d.undated())
	if t.State == "" || t.State == scheduler.Alive {
		d.settle()
	}
	if !scheduler.InPassing(v.Kinds) {
		t.LastVisit = on
	}
	if v.Dose > 0 && v.Kind != scheduler.FirstLook {
		if y := e.cal.doseYear(on); y != t.DoseSeason {
			t.DoseSeason, t.DoseUsed = y, 0
		}
		t.DoseUsed += v.Dose
	}
	for _, k := range v.Kinds {
		switch k {
		case scheduler.Training:
			t.LastTraining = on
			d.sidesDone(on)
			d.watchDone(on)
			d.stageDone(on)
		case scheduler.RoadClearance, scheduler.WalkClearance:
			d.sidesDone(on)
			t.LastRaise = on
		case scheduler.RotationPrune:
			d.sidesDone(on)
			d.watchDone(on)
			t.LastRotation, t.Stage = on, scheduler.StageRotation
		case scheduler.FirstLook:
			d.lookDone(on)
			t.LastInspected = on
		case scheduler.Inspection, scheduler.Establishment:
			t.LastInspected = on
		case scheduler.Restoration:
			t.LastRestored = on
		case scheduler.BasalSprouts:
			t.LastSprouts = on
		case scheduler.Watering: // the rounds of a season are one line of the calendar
			_, t.LastWatered = e.cal.growingIn(e.cal.doseYear(on))
		case scheduler.Removal:
			t.State = scheduler.Stump
		case scheduler.StumpGrinding:
			t.State = scheduler.Removed
		}
	}
}

// lookDone writes down what a first look finds: the stage, and the bases as
// the curve expects them. It prunes nothing that can wait.
func (d *draft) lookDone(on scheduler.Date) {
	d.t.Stage = scheduler.StageRotation
	if habitTrains(d.p.species.Habit) && d.age(on) < float64(d.e.policy.Training.EndYears) {
		d.t.Stage = scheduler.StageLeader
	}
	if s, ok := d.roadSide(); ok && !d.t.BaseRoad.Known() {
		a := d.answer(&s, on)
		d.t.BaseRoad, d.t.BaseOn = a.base, on
	}
	if s, ok := d.walkSide(); ok && !d.t.BaseWalk.Known() {
		a := d.answer(&s, on)
		d.t.BaseWalk, d.t.BaseOn = a.base, on
	}
}

// sidesDone raises both sides as far as their answers say and records the bases.
func (d *draft) sidesDone(on scheduler.Date) {
	raise := func(s side, ok bool, base *geo.Length) {
		if !ok {
			return
		}
		a := d.answer(&s, on)
		now := max(a.base, a.raise)
		if a.recorded {
			now = max(now-d.sag(on), a.raise)
		}
		*base = now
	}
	s, ok := d.roadSide()
	raise(s, ok, &d.t.BaseRoad)
	s, ok = d.walkSide()
	raise(s, ok, &d.t.BaseWalk)
	d.t.BaseOn = on
	target := d.e.targetHeight(d.s) + d.p.species.Droop
	if d.t.Permanent <= 0 && d.p.species.Habit.LeaderRule() && d.treeHeight(on)*geo.Length(100-d.e.policy.Training.LiveCrownMin)/100 >= target {
		d.t.Permanent = target // the lowest permanent branch is chosen once the crown allows it
	}
}

// targetHeight is the highest height to clear to on the site.
func (e *Engine) targetHeight(s *scheduler.Site) geo.Length {
	var h geo.Length
	if v, ok := e.roadEnvelope(s); ok {
		h = max(v.low.ClearTo, v.high.ClearTo)
	}
	if v, ok := e.walkEnvelope(s); ok {
		h = max(h, v.high.ClearTo)
	}
	return h
}

// watchDone takes the branches that may go with a small cut, and reduces again
// those that are held or not ready.
func (d *draft) watchDone(on scheduler.Date) {
	c := &d.e.cal
	left := d.t.Watch[:0]
	for _, it := range d.t.Watch {
		if it.Resolved {
			continue
		}
		size := d.branchAt(&it, on)
		if it.Intent == scheduler.DecideNext {
			it.Intent = scheduler.HoldTier
			if d.e.policy.Training.SmallRatio > 0 && size.ratio() <= d.e.policy.Training.SmallRatio {
				it.Intent = scheduler.RemoveLater
			}
		}
		if it.Intent == scheduler.RemoveLater && size.branch > float64(d.p.cutMax) {
			it.Intent = scheduler.HoldTier // no longer a small cut
		}
		waited := true
		if !it.ReducedOn.IsZero() {
			from, _ := d.span(scheduler.Training, c.after(c.full(it.ReducedOn)))
			waited = on >= from
		}
		if it.Intent == scheduler.RemoveLater && waited && it.Diameter > 0 &&
			size.branch <= float64(d.p.cutMax) && size.ratio() <= d.e.policy.Training.SmallRatio {
			continue
		}
		if it.Diameter > 0 {
			it.Diameter = geo.Length(size.branch + 0.5)
			it.StemDiameter = geo.Length(size.stem + 0.5)
		}
		if it.Intent != scheduler.WatchOnly {
			it.ReducedOn = on
		}
		it.SeenOn, it.NextCheck = on, 0
		left = append(left, it)
	}
	d.t.Watch = left
}

// stageDone moves the stage on when the model foresees its facts: from the
// leader once nothing is left to remove and the walk can be raised; from the
// temporaries once three quarters of the road's height can be; from raising
// when both bases stand at the act-at heights and the lowest permanent branch is chosen.
func (d *draft) stageDone(on scheduler.Date) {
	t := d.t
	floor := d.treeHeight(on) * geo.Length(100-d.e.policy.Training.LiveCrownMin) / 100
	toRemove := false
	for i := range t.Watch {
		toRemove = toRemove || t.Watch[i].Intent == scheduler.RemoveLater
	}
	road, hasRoad := d.roadSide()
	walk, hasWalk := d.walkSide()
	switch d.stage {
	case scheduler.StageEstablishing:
		t.Stage = scheduler.StageLeader
	case scheduler.StageLeader:
		t.Stage = scheduler.StageLeader
		if !toRemove && floor >= d.e.policy.Clearance.Walk.Legal {
			t.Stage = scheduler.StageTemporaries
		}
	case scheduler.StageTemporaries:
		if floor*4 >= d.e.targetHeight(d.s)*3 {
			t.Stage = scheduler.StageRaising
		}
	case scheduler.StageRaising:
		roadDone := !hasRoad || t.BaseRoad >= road.env.high.ActAt
		walkDone := !hasWalk || t.BaseWalk >= walk.env.high.ActAt
		if !toRemove && roadDone && walkDone && (t.Permanent > 0 || !d.p.species.Habit.LeaderRule()) {
			t.Stage = scheduler.StageRotation
			t.LastRotation = on
		}
	}
}
