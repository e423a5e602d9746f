package scheduler

import (
	"slices"
	"strconv"
	"strings"
)

// ApplyRecord returns the tree with the facts of one work record done on the
// given civil date, and the rules the record breaks against this tree (then
// the tree comes back unchanged). Records may arrive late and out of order:
// a fact only ever moves to a newer one. Training counts as done only when it was finished; part of a
// visit leaves the date of the last training as it was, but the crown it took, the
// bases it left and the branches it left to watch are facts all the same.
// t.Watch holds the tree's items, the resolved ones too: their letters stay taken.
func ApplyRecord(t Tree, r WorkRecord, on Date) (Tree, []Fault) {
	if faults := againstTree(&t, &r, on); len(faults) > 0 {
		return t, faults
	}
	t.Watch = slices.Clone(t.Watch)
	if r.Outcome != OutcomeNotDone {
		applyWork(&t, &r, on)
	}
	applyMeasures(&t, &r, on)
	for i := range r.Watch {
		if f := &r.Watch[i]; f.Letter == "" {
			t.Watch = append(t.Watch, newWatch(t.ID, nextLetter(t.Watch), f, on))
		} else {
			updateWatch(watchNamed(t.Watch, f.Letter), f, on)
		}
	}
	return t, nil
}

func againstTree(t *Tree, r *WorkRecord, on Date) []Fault {
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

// applyWork moves the dates of the last work, the dose and the state.
func applyWork(t *Tree, r *WorkRecord, on Date) {
	t.LastVisit = max(t.LastVisit, on)
	if s := DoseSeason(on); s > t.DoseSeason {
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
	if r.Permanent > 0 && newest {
		t.Permanent = r.Permanent
	}
	if r.Vigour != "" && newest {
		t.Vigour = r.Vigour
	}
	if r.Stage.rank() > t.Stage.rank() { // forward only: what was reached stays reached
		t.Stage = r.Stage
	}
}

func watchNamed(items []WatchItem, letter string) *WatchItem {
	for i := range items {
		if items[i].Letter == letter {
			return &items[i]
		}
	}
	return nil
}

func newWatch(tree int64, letter string, f *WatchFinding, on Date) WatchItem {
	w := WatchItem{
		TreeID: tree, Letter: letter, What: f.What, Height: f.Height.OrNone(), Side: f.Side, Diameter: f.Diameter.OrNone(),
		StemDiameter: f.StemDiameter.OrNone(), IncludedBark: f.IncludedBark, Done: f.Done, Intent: f.Intent,
		SeenOn: on, Resolved: f.gone(),
	}
	if w.Intent == "" {
		w.Intent = WatchOnly
	}
	w.schedule(f, on)
	return w
}

// updateWatch takes over a later look at a known item; an older look than the
// newest changes nothing.
func updateWatch(w *WatchItem, f *WatchFinding, on Date) {
	if on < w.SeenOn {
		if f.Reduced {
			w.ReducedOn = max(w.ReducedOn, on)
		}
		return
	}
	w.SeenOn = on
	if f.What != "" {
		w.What = f.What
	}
	if f.Side != "" {
		w.Side = f.Side
	}
	if f.Height > 0 {
		w.Height = f.Height
	}
	if f.Diameter > 0 {
		w.Diameter = f.Diameter
	}
	if f.StemDiameter > 0 {
		w.StemDiameter = f.StemDiameter
	}
	w.IncludedBark = w.IncludedBark || f.IncludedBark
	if f.Done != "" {
		w.Done = f.Done
	}
	if f.Intent != "" {
		w.Intent = f.Intent
	}
	w.Resolved = w.Resolved || f.gone()
	w.schedule(f, on)
}

// schedule sets the date of the reduction and of the next look. A branch that
// was reduced to be removed later needs one full growing season between the two
// (common practice); everything else is looked at on the next visit, whenever it comes.
func (w *WatchItem) schedule(f *WatchFinding, on Date) {
	if f.Reduced {
		w.ReducedOn = max(w.ReducedOn, on)
	}
	w.NextCheck = 0
	if w.Intent == RemoveLater && !w.Resolved {
		if w.ReducedOn.IsZero() {
			w.NextCheck = on.AddYears(1)
			return
		}
		w.NextCheck = NewDate(DoseSeason(w.ReducedOn), 11, 1)
		if DoseSeason(w.ReducedOn) == w.ReducedOn.Year() && w.ReducedOn.Month() >= 4 {
			// Reduced in leaf: the rest of that season is not a full one.
			w.NextCheck = w.NextCheck.AddYears(1)
		}
	}
}

// gone reports whether the finding says that nothing is left to watch.
func (w *WatchFinding) gone() bool { return w.Resolved || strings.HasPrefix(w.Done, "removed") }
