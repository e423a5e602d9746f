package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// Codominant stems with included bark, by size (common practice). A small one
// is removed or reduced like any competing leader. A middle one, past the small
// cut, is reduced and held, and its union looked at on every visit. A large
// one, past the cut above which a crew leader asks, is beyond training: no cut
// of ours; a qualified assessor decides between reduction, a support system
// with dates of inspection, and removal. One that was reduced and held before it
// grew so large is kept reduced, and referred as well.

type union int

const (
	notCodominant union = iota
	smallUnion
	middleUnion
	largeUnion
)

// unionOf is the size class of a watched stem on a day. A stem of no more than
// the policy's share of its parent is a branch, whatever its bark.
func (d *draft) unionOf(w *scheduler.WatchItem, on scheduler.Date) union {
	if !w.IncludedBark || w.Diameter <= 0 || !upright(w.What) {
		return notCodominant
	}
	b := d.branchAt(w, on)
	switch {
	case b.ratio() <= d.e.policy.Training.SmallRatio:
		return notCodominant
	case b.branch > float64(d.p.cuts.callAbove(d.p.species.Decay)):
		return largeUnion
	case b.branch > float64(d.p.cutMax):
		return middleUnion
	}
	return smallUnion
}

// unionReason says on the training visit what a codominant stem past the small
// cut needs; false when the ordinary rules go on.
func (d *draft) unionReason(i int, w *scheduler.WatchItem, on scheduler.Date) bool {
	size := geo.Length(d.branchAt(w, on).branch + 0.5)
	switch d.unionOf(w, on) {
	case largeUnion:
		d.because(i, "training.assess", d.item(w, "").str(": about ").width(size).
			str(" and codominant with included bark, beyond training: refer it to a qualified assessor.").end(), commonPractice)
		return true
	case middleUnion:
		d.because(i, "training.hold_union", d.item(w, "").str(": about ").width(size).
			str(" and codominant with included bark, no small cut: reduce it, hold it, and look at the union at every visit.").end(), commonPractice)
		return true
	case smallUnion, notCodominant:
	}
	return false
}

// unionObjective is the line of a codominant stem past the small cut.
func (d *draft) unionObjective(w *scheduler.WatchItem, on scheduler.Date) (phrase, bool) {
	switch d.unionOf(w, on) {
	case largeUnion:
		if w.Intent == scheduler.HoldTier && !w.ReducedOn.IsZero() && !d.spent(w, on) {
			return d.item(w, "Reduce again ").str(" to a side branch at least a third of its diameter; hold it as lower tier. Refer its union to a qualified assessor.").end(), true
		}
		return d.item(w, "Do not cut ").str(": too large for training; refer it to a qualified assessor (reduction, a support system with dates of inspection, or removal).").end(), true
	case middleUnion:
		if d.spent(w, on) {
			return phrase{}, false
		}
		return d.item(w, "Reduce again ").str(" to a side branch at least a third of its diameter; hold it as lower tier. Look at its union at every visit.").end(), true
	case smallUnion, notCodominant:
	}
	return phrase{}, false
}

// spent reports whether the stem was reduced already in the growing season that a cut on the day draws on.
func (d *draft) spent(w *scheduler.WatchItem, on scheduler.Date) bool {
	return !w.ReducedOn.IsZero() && d.e.cal.doseYear(w.ReducedOn) >= d.e.cal.doseYear(on)
}
