package due

import (
	"limbround/scheduler"
)

// sight adds the yearly look, in leaf, at a tree in a sight triangle whose
// crown is not yet known to be above the band that must stay open.
func (d *draft) sight() {
	r := &d.e.policy.Clearance
	if !d.s.InSight || r.SightHigh <= 0 || d.stage == scheduler.StageUnknown {
		return
	}
	if d.t.BaseRoad >= r.SightHigh && d.t.BaseWalk >= r.SightHigh {
		return
	}
	c := &d.e.cal
	looked := lastSeen(d.t)
	if looked.IsZero() {
		looked = max(d.t.Planted, d.e.start)
	}
	from, to := c.growingIn(c.full(looked))
	k := scheduler.SightClearance
	third := (to - from) / 3
	due := from + third // leaves are out
	w := scheduler.Window{Earliest: due.AddDays(-30), Due: due, Latest: to - third}
	if first := d.p.opens(k, w.Due); first != 0 && first > w.Due && first <= to {
		w = scheduler.Window{Earliest: first, Due: first, Latest: to}
	}
	i := d.add(task{kind: k, class: 4, w: w, skill: scheduler.Ground})
	d.because(i, "clearance.sight", d.say("In a sight triangle: the band from ").height(r.SightLow).str(" to ").height(r.SightHigh).
		str(" is looked at each year in leaf until the crown is recorded above it.").end(), r.Source)
}

// sightObjective is the work in the band: the triangle side only, while the
// tree is too short to be raised above it.
func (d *draft) sightObjective(on scheduler.Date) (phrase, bool) {
	r := &d.e.policy.Clearance
	if !d.s.InSight || r.SightHigh <= 0 || (d.t.BaseRoad >= r.SightHigh && d.t.BaseWalk >= r.SightHigh) {
		return phrase{}, false
	}
	if d.crownFloor(on) >= r.SightHigh {
		return d.say("Sight triangle: raise all round to ").height(r.SightHigh).str(".").end(), true
	}
	return d.say("Sight triangle: reduce the triangle side only between ").height(r.SightLow).str(" and ").height(r.SightHigh).
		str("; no temporary branches there.").end(), true
}

// signNear reports whether a sign or signal stands within the crown's reach and the gap the policy keeps.
func (d *draft) signNear(on scheduler.Date) bool {
	return d.s.ToSign.Known() && d.s.ToSign < d.radius(on)+max(0, d.e.policy.Clearance.SignGap)
}

func (d *draft) lightNear(on scheduler.Date) bool {
	return d.s.ToLight.Known() && d.s.ToLight < d.radius(on)+max(0, d.e.policy.Clearance.SignGap)
}
