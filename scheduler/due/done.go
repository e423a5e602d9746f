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
	if v.Dose > 0 && takesCrown(v.Kinds) {
		if y := e.cal.doseYear(on); y != t.DoseSeason {
			t.DoseSeason, t.DoseUsed = y, 0
		}
		t.DoseUsed += v.Dose
	}
	for _, k := range v.Kinds {
		switch k {
		case scheduler.Training:
			t.LastTraining = on
			if !d.splits(on) || !d.leaderWork() {
				d.sidesDone(on)
			}
			d.watchDone(on)
			d.stageDone(on)
		case scheduler.RoadClearance, scheduler.WalkClearance:
			d.sidesDone(on)
			t.LastRaise = on
		case scheduler.RotationPrune:
			if !d.splits(on) {
				d.sidesDone(on)
			}
			d.watchDone(on)
			t.LastRotation, t.Stage = on, scheduler.StageRotation
		case scheduler.FirstLook:
			d.lookDone(on)
			t.LastInspected = on
		case scheduler.Inspection, scheduler.Establishment:
			t.LastInspected = on
		case scheduler.Restoration:
			t.LastRestored = on
		case scheduler.SightClearance:
			viewsOpened(t)
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

// takesCrown reports whether a visit is counted to take what it may of the
// crown: a look, at a tree or along a sight line, takes a twig or two.
func takesCrown(kinds []scheduler.WorkKind) bool {
	for _, k := range kinds {
		switch k {
		case scheduler.Training, scheduler.RotationPrune, scheduler.Restoration, scheduler.RoadClearance, scheduler.WalkClearance:
			return true
		}
	}
	return false
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
	d.choosePermanent(on)
}

// watchDone takes the branches that may go with a small cut and the temporaries
// whose turn it is, and reduces again those that are held or not ready. A stem
// waits out its growing season between two cuts, and one for the assessor is left alone.
func (d *draft) watchDone(on scheduler.Date) {
	ratio := d.p.smallRatio
	group := d.temporariesOn(on)
	left := make([]scheduler.WatchItem, 0, len(d.t.Watch))
	for j, it := range d.t.Watch {
		if it.Resolved {
			continue
		}
		size, class := d.branchAt(&it, on), d.unionOf(&it, on)
		small := it.Diameter > 0 && size.branch <= float64(d.p.cutMax)
		slim := size.ratio() <= ratio
		if it.Intent == scheduler.DecideNext {
			it.Intent = scheduler.HoldTier
			if slim || temporary(it.What) {
				it.Intent = scheduler.RemoveLater
			}
		}
		if it.Intent == scheduler.RemoveLater && it.Diameter > 0 && !small {
			it.Intent = scheduler.HoldTier // no longer a small cut
		}
		waited := d.waited(&it, on)
		out := it.Intent == scheduler.RemoveLater && waited && small && slim
		if group.has(j) {
			out = small && group.goes(j)
		}
		if out {
			continue
		}
		reduce := it.Intent != scheduler.WatchOnly && (class != largeUnion || !it.ReducedOn.IsZero()) && waited && !d.spent(&it, on)
		if group.has(j) && !it.ReducedOn.IsZero() {
			reduce = false // a temporary once reduced stays until its turn
		}
		if it.Diameter > 0 {
			it.Diameter = geo.Length(size.branch + 0.5)
			it.StemDiameter = geo.Length(size.stem + 0.5)
		}
		if reduce {
			it.ReducedOn = on
		}
		it.SeenOn, it.NextCheck = on, 0
		left = append(left, it)
	}
	d.t.Watch = left
}

// stageDone moves the stage on when the model foresees its facts: from the
// leader once nothing is left to remove and the walk can be raised; from the
// temporaries once three quarters of the road's height can be, where either
// can ever be; from raising when both sides stay clear at the act-at heights
// until the first rotation prune and the lowest permanent branch is chosen. A
// side that the tree is never raised over is cut back by the raising visits,
// for the years planned for training.
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
		if !toRemove && (floor >= d.e.policy.Clearance.Walk.Legal || (hasWalk && d.neverRaised(&walk))) {
			t.Stage = scheduler.StageTemporaries
		}
	case scheduler.StageTemporaries:
		var to geo.Length
		if hasRoad && !d.neverRaised(&road) {
			to = road.clearTo()
		}
		if hasWalk && !d.neverRaised(&walk) {
			to = max(to, walk.clearTo())
		}
		if floor*4 >= to*3 {
			t.Stage = scheduler.StageRaising
		}
	case scheduler.StageRaising:
		roadDone := !hasRoad || d.lasts(&road, on)
		walkDone := !hasWalk || d.lasts(&walk, on)
		if !toRemove && roadDone && walkDone && !d.lacksPermanent() {
			t.Stage = scheduler.StageRotation
			t.LastRotation = on
		}
	}
}
