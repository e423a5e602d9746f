package due

import "limbround/scheduler"

// Sight clearance: the band that stays open in a sight triangle, and signs,
// signals and lights (sign.go). A tree has one task of the kind at a time, the
// one that comes first; the reasons of both stand on it.
func (d *draft) sight() {
	found := d.hidden()
	if d.stage == scheduler.StageUnknown {
		if found != nil {
			d.hiddenReason(d.add(d.hiddenTask(found)), found)
		}
		return
	}
	look, looks := d.sightLook()
	t, has := look, looks
	fixtures := d.fixtures()
	var near [len(fixtures)]crowding
	for i := range fixtures {
		c, ok := d.crowds(&fixtures[i])
		if !ok {
			continue
		}
		near[i] = c
		if !has || c.t.class < t.class || (c.t.class == t.class && c.t.w.Latest < t.w.Latest) {
			t, has = c.t, true
		}
	}
	if found != nil {
		t, has = d.hiddenTask(found), true
	}
	if !has {
		return
	}
	for i := range near {
		if dearer(near[i].t.skill, t.skill) {
			t.skill = near[i].t.skill
		}
	}
	i := d.add(t)
	if found != nil {
		d.hiddenReason(i, found)
	}
	if looks {
		r := &d.e.policy.Clearance
		d.because(i, "clearance.sight", d.say("In a sight triangle: the band from ").height(r.SightLow).str(" to ").height(r.SightHigh).
			str(" is looked at each year in leaf until the crown is recorded above it.").end(), r.Source)
	}
	for f := range near {
		if near[f].year > 0 {
			d.crowdReason(i, &fixtures[f], &near[f])
		}
	}
}

// sightLook is the yearly look, in leaf, at a tree in a sight triangle whose
// crown is not yet known to be above the band that must stay open. A year's look
// that was left out is not made up for once the leaves are down: the next one is
// due when they are out again.
func (d *draft) sightLook() (task, bool) {
	r := &d.e.policy.Clearance
	if !d.s.InSight || r.SightHigh <= 0 || (d.t.BaseRoad >= r.SightHigh && d.t.BaseWalk >= r.SightHigh) {
		return task{}, false
	}
	c := &d.e.cal
	looked := lastSeen(d.t)
	if looked.IsZero() {
		looked = max(d.t.Planted, d.e.start)
	}
	y := max(c.full(looked), c.lasting(d.today))
	from, to := c.growingIn(y)
	k := scheduler.SightClearance
	third := (to - from) / 3
	due := from + third // leaves are out
	w := scheduler.Window{Earliest: due.AddDays(-30), Due: due, Latest: to - third}
	if first := d.p.opens(k, w.Due); first != 0 && first > w.Due && first <= to {
		w = scheduler.Window{Earliest: first, Due: first, Latest: to}
	}
	return task{kind: k, class: 4, w: w, skill: scheduler.Ground}, true
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
