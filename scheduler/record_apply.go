package scheduler

import "strconv"

// Against returns the rules that the record breaks against its tree as it
// stands, with all its watch items: another tree, work before the planting, a letter that nobody gave.
func (r *WorkRecord) Against(t *Tree, on Date) []Fault {
	var c checker
	if r.TreeID != t.ID {
		c.add("tree_id", strconv.FormatInt(r.TreeID, 10), "the record is about another tree than "+strconv.FormatInt(t.ID, 10))
	}
	if t.Precision == PreciseDay && !t.Planted.IsZero() && on < t.Planted {
		c.add("finish", on.String(), "work on this tree is not earlier than its planting on "+t.Planted.String())
	}
	for i := range r.Watch {
		f := &r.Watch[i]
		if f.Letter != "" && watchNamed(t.Watch, f.Letter) == nil {
			c.add("watch["+strconv.Itoa(i)+"].letter", f.Letter, "this tree has no watch item of that letter")
		}
	}
	return c.faults
}

// applyFacts moves the tree's facts by one record, done on the given civil date.
// A fact only ever moves to a newer one. Training counts as done only when it was finished; part of a
// visit leaves the date of the last training as it was, but the crown it took and
// the bases it left are facts all the same.
func applyFacts(t *Tree, r *WorkRecord, on Date, leafOn MonthSpan) {
	applyFound(t, r, on)
	if r.Outcome != OutcomeNotDone {
		applyWork(t, r, on, leafOn)
	}
	applyMeasures(t, r, on)
}

// applyWork moves the dates of the last work, the dose and the state.
func applyWork(t *Tree, r *WorkRecord, on Date, leafOn MonthSpan) {
	if !InPassing(r.Kinds) {
		t.LastVisit = max(t.LastVisit, on)
	}
	if s := leafOn.DoseSeason(on); s > t.DoseSeason {
		t.DoseSeason, t.DoseUsed = s, r.LiveCrown
	} else if s == t.DoseSeason {
		t.DoseUsed = min(100, t.DoseUsed+r.LiveCrown)
	}
	if r.Outcome != OutcomeDone {
		return
	}
	for _, k := range r.Kinds {
		switch k {
		case Training:
			t.LastTraining = max(t.LastTraining, on)
		case RotationPrune:
			t.LastRotation = max(t.LastRotation, on)
		case RoadClearance, WalkClearance:
			t.LastRaise = max(t.LastRaise, on)
		case MakeSafe:
			t.BrokenOn = max(t.BrokenOn, on)
		case Restoration:
			t.LastRestored = max(t.LastRestored, on)
		case Inspection, Establishment, FirstLook:
			t.LastInspected = max(t.LastInspected, on)
		case Watering:
			t.LastWatered = max(t.LastWatered, on)
		case BasalSprouts:
			t.LastSprouts = max(t.LastSprouts, on)
		case Removal:
			if t.State == Alive || t.State == Dead {
				t.State = Stump
			}
		case StumpGrinding:
			t.State = Removed
		}
	}
}

// applyMeasures takes over sizes, bases, stage and vigour. A height or a base is
// kept with the newest date on which anything of its group was measured.
func applyMeasures(t *Tree, r *WorkRecord, on Date) {
	if on >= t.MeasuredOn && (r.DBH > 0 || r.Height > 0) {
		t.MeasuredOn = on
		if r.DBH > 0 {
			t.DBH = r.DBH
		}
		if r.Height > 0 {
			t.Height = r.Height
		}
	}
	if on >= t.BaseOn && (r.BaseRoad > 0 || r.BaseWalk > 0) {
		t.BaseOn = on
		if r.BaseRoad > 0 {
			t.BaseRoad = r.BaseRoad
		}
		if r.BaseWalk > 0 {
			t.BaseWalk = r.BaseWalk
		}
	}
	newest := on >= max(t.LastVisit, t.MeasuredOn, t.BaseOn)
	if r.Permanent > 0 && newest && r.candidate() {
		t.Permanent = r.Permanent
	}
	if r.Vigour != "" && newest {
		t.Vigour = r.Vigour
	}
	if r.Stage.rank() > t.Stage.rank() { // forward only: what was reached stays reached
		t.Stage = r.Stage
	}
}
