package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// The lowest permanent branch. A branch does not move up the trunk, so the
// place where it attaches decides for good: the height to clear to, and the
// droop of the species. A branch chosen below that will have to go and counts
// as temporary. On a thin trunk every branch is temporary (IFAS EP276: under
// 4 in of caliper). A side that no mature tree of the species can be raised
// over sets no height: the site is listed for replacement.

// permanentAt is the least height at which a permanent branch attaches; 0 when
// nothing is to be cleared.
func (d *draft) permanentAt() geo.Length {
	var h geo.Length
	if s, ok := d.roadSide(); ok && !d.unreachable(&s) {
		h = s.clearTo()
	}
	if s, ok := d.walkSide(); ok && !d.unreachable(&s) {
		h = max(h, s.clearTo())
	}
	if h == 0 {
		return 0
	}
	return h + d.p.droop
}

// clearTo is the greatest height that the side is cleared to.
func (s *side) clearTo() geo.Length { return max(s.env.low.ClearTo, s.env.high.ClearTo) }

// permanent is the height of the lowest permanent branch as it counts: 0 for
// none, and for one that attaches too low to stay.
func (d *draft) permanent() geo.Length {
	if p := d.t.Permanent; p > 0 && p >= d.permanentAt() {
		return p
	}
	return 0
}

// allTemporary reports whether the trunk is too thin for a permanent branch.
// The trunk at breast height is no thicker than the caliper, so the answer errs towards temporary.
func (d *draft) allTemporary(on scheduler.Date) bool {
	dbh := d.at(on).DBH
	return dbh.Known() && dbh < d.e.build.AllTemporary
}

// permanentLimit says on the card what is and what becomes the lowest permanent branch.
func (d *draft) permanentLimit(on scheduler.Date) phrase {
	at := d.permanentAt()
	switch {
	case d.permanent() > 0:
		return d.say("Lowest permanent branch at ").height(d.t.Permanent).str(": it and all above it stay; below it is temporary.").end()
	case d.t.Permanent > 0:
		return d.lowText().str("; it counts as temporary.").end()
	case d.allTemporary(on):
		s := d.say("Lowest permanent branch: none chosen yet; on a trunk under ").width(d.e.build.AllTemporary).str(" every branch is temporary")
		if at > 0 {
			s = s.str(", and any below ").height(at).str(" stays so")
		}
		return s.str(".").end()
	}
	s := d.say("Lowest permanent branch: none chosen on the tree yet; low branches are temporary")
	if d.permanentReady(on) {
		s = d.say("Lowest permanent branch: none recorded: choose it now and write it down; what is lower is temporary")
	}
	if at > 0 {
		s = s.str("; it attaches at ").height(at).str(" or above, and is no low limb that grows up into the scaffold")
	}
	return s.str(".").end()
}

func (d *draft) lowText() sentence {
	return d.say("Lowest permanent branch: the one recorded attaches at ").height(d.t.Permanent).str(", below ").height(d.permanentAt()).
		str(" (clear to and droop): it will have to go")
}

// permanentReason tells the manager of a permanent branch that cannot stay.
func (d *draft) permanentReason(i int) {
	if d.t.Permanent > 0 && d.permanent() == 0 && d.p.species.Habit.LeaderRule() {
		d.because(i, "training.permanent_low", d.lowText().str(".").end(), commonPractice)
	}
}

// choosePermanent is the model's choice once the tree has a branch to choose.
func (d *draft) choosePermanent(on scheduler.Date) {
	if d.permanent() == 0 && d.permanentReady(on) {
		d.t.Permanent = d.permanentAt()
	}
}

// permanentReady reports whether the lowest permanent branch can be chosen: it
// only has to stand on the tree. The crown need not be raised to it for years,
// but the place must have dropped out of the top, where shoots have not made
// branches yet, and the trunk must be past carrying temporary branches alone.
func (d *draft) permanentReady(on scheduler.Date) bool {
	if !d.p.species.Habit.LeaderRule() || d.allTemporary(on) {
		return false
	}
	at := d.permanentAt()
	return at > 0 && at*100 <= d.treeHeight(on)*geo.Length(d.e.build.PermanentShare)
}
