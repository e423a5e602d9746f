package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// Signs, signals and street lights.
//
// A gap is kept free before each: work is due in the season before the crown's
// radius grows into the gap, and at the latest in the one before it grows over
// the sign itself. Whoever visits the tree leaves the gap, so that from the last
// visit on the side grows out again from where it was cut back to, at the rate
// of a reduced branch, as a side over a lane does. A street sign is in view
// beneath a crown whose recorded base is higher than the sign, and a top that
// does not come up to the lamp shades nothing.
//
// On which side of a sign the traffic comes, and whether it is a sign or a
// signal, the site's numbers do not say: the gap holds on all sides, and how
// far up the street it has to be seen from is told to the crew.

// fixture is a thing that the crown must leave in view.
type fixture struct {
	word string
	at   geo.Length // from the trunk
	lamp bool
}

func (d *draft) fixtures() [2]fixture {
	return [2]fixture{{word: "Sign or signal", at: d.s.ToSign}, {word: "Street light", at: d.s.ToLight, lamp: true}}
}

// matters reports whether the crown, as far as it is known, is at the fixture's height on a day.
func (d *draft) matters(f *fixture, on scheduler.Date) bool {
	r := &d.e.policy.Clearance
	if f.lamp {
		return d.treeHeight(on) >= r.LightLow
	}
	return d.t.BaseRoad < r.SignTop // a base that nobody recorded may be low
}

// keep is how far out the crown may stand before the fixture.
func (d *draft) keep(f *fixture) geo.Length {
	return max(f.at/4, f.at-max(0, d.e.policy.Clearance.SignGap))
}

// towards is how far the crown stands out towards a fixture on a day.
func (d *draft) towards(f *fixture, on scheduler.Date) geo.Length {
	r, cut := d.radius(on), lastSeen(d.t)
	if cut.IsZero() || on < cut {
		return r
	}
	then, keep := d.radius(cut), d.keep(f)
	if d.radius(addMonths(cut, 12*d.interval())) <= keep {
		return r // the last visit had nothing to cut
	}
	back := min(then, max(keep/4, keep-d.regrowth(cut)))
	return min(r, back+(r-then)*geo.Length(d.e.practice.ReducedPct)/100)
}

// regrowth is how far a side that was cut back on a day grows out again until the next visit.
func (d *draft) regrowth(cut scheduler.Date) geo.Length {
	return (d.radius(addMonths(cut, 12*d.interval())) - d.radius(cut)) * geo.Length(d.e.practice.ReducedPct) / 100
}

// inWay reports whether the crown stands further out than a distance, at the
// fixture's height, on a day.
func (d *draft) inWay(f *fixture, on scheduler.Date, out geo.Length) bool {
	return d.towards(f, on) > out && d.matters(f, on)
}

// crowding is the work at one fixture.
type crowding struct {
	t      task
	year   int // growing season in which the crown grows into the gap; 0 for none
	hidden int // and over the fixture; 0 when that is not foreseen
}

// crowds is the work at a fixture, if it needs any before the visit after the
// next routine one.
func (d *draft) crowds(f *fixture) (crowding, bool) {
	if !f.at.Known() {
		return crowding{}, false
	}
	c, k := &d.e.cal, scheduler.SightClearance
	fact, first := lastSeen(d.t), 0
	if fact.IsZero() {
		fact = max(d.t.MeasuredOn, d.t.Planted, d.e.start, 1)
		first = c.at(fact)
	} else {
		first = c.after(c.counted(fact)) // a visit leaves the gap for one growing season
	}
	from := c.counted(fact)
	if !lastSeen(d.t).IsZero() && d.keep(f) <= d.regrowth(fact) {
		from = c.counted(addMonths(fact, 12*d.interval())) // no cut lasts: it is made at every routine visit
	}
	last, _, _ := civil(addMonths(max(d.tasks[0].w.Due, fact), 12*d.interval()))
	out := crowding{}
	var ok bool
	if out.year, ok = d.firstInWay(f, from, min(last, from+searchYears), d.keep(f)); !ok {
		return crowding{}, false
	}
	gf, _ := c.growingIn(out.year)
	w := d.season(k, max(c.before(gf), first))
	end := w.Latest
	w.Due = max(w.Due, fact)
	_, w.Latest = d.span(k, c.before(w.Due)+1)
	w.Earliest, _ = d.span(k, first)
	w.Earliest = max(w.Earliest, fact)
	out.t = task{kind: k, class: 4, skill: scheduler.Ground}
	if out.hidden, ok = d.firstInWay(f, out.year, out.year+searchSeasons, f.at); ok {
		hf, _ := c.growingIn(out.hidden)
		_, out.t.deadline = d.span(k, c.before(hf))
		w.Latest = min(w.Latest, max(out.t.deadline, end))
		if d.today >= hf && !f.lamp {
			out.t.class = 2
		}
	}
	out.t.w = ordered(w)
	if f.lamp && d.treeHeight(out.t.w.Due) > d.reachHeight() {
		out.t.skill = scheduler.Lift
	}
	return out, true
}

// firstInWay is the first growing season of a range at whose end the crown
// stands further out than a distance.
func (d *draft) firstInWay(f *fixture, from, last int, out geo.Length) (int, bool) {
	return firstYear(from, last, func(y int) bool {
		_, end := d.e.cal.growingIn(y)
		return d.inWay(f, end, out)
	})
}

func (d *draft) crowdReason(i int, f *fixture, c *crowding) {
	_, end := d.e.cal.growingIn(c.year)
	s := d.say(f.word).str(" ").height(f.at).str(" from the trunk: in the growing season ").num(c.year).str(" the crown stands ").
		height(d.towards(f, end)).str(" out; ").height(f.at - d.keep(f)).str(" before it must stay free")
	if c.hidden > 0 {
		s = s.str("; in ").num(c.hidden).str(" it grows over it")
	}
	d.because(i, "clearance.sign", s.str(".").end(), d.e.policy.Clearance.Source)
}

// signObjectives write the work at the fixtures that the crown comes to before
// the visit after this one.
func (d *draft) signObjectives(out []phrase, on scheduler.Date) []phrase {
	later := addMonths(on, 12*d.interval())
	for _, f := range d.fixtures() {
		if !f.at.Known() || d.radius(later) <= d.keep(&f) || !d.matters(&f, later) {
			continue
		}
		s := d.say(f.word).str(" ").height(f.at).str(" from the trunk: reduce the crown towards it, ").height(f.at - d.keep(&f)).str(" free before it")
		if mph := geo.MPH(d.s.SpeedKmh); !f.lamp && mph > 0 {
			s = s.str("; at ").num(mph).str(" mph a sign is seen from ").far(geo.StoppingSight(mph)).str(" up the street, a signal from ").far(signalSight(mph))
		}
		out = append(out, s.str(".").end())
	}
	return out
}

// signalSight is the least distance from which a signal is visible, by the
// speed of the approach (MUTCD table of minimum sight distance, from memory);
// between two speeds that of the higher.
func signalSight(mph int) geo.Length {
	feet := [...]float64{175, 215, 270, 325, 390, 460, 540, 625, 715} // 20, 25 ... 60 mph
	i := max(0, (mph-20+4)/5)
	return geo.Feet(feet[min(i, len(feet)-1)])
}

// signNear reports whether a sign or signal stands within the crown's reach and the gap the policy keeps.
func (d *draft) signNear(on scheduler.Date) bool {
	return d.s.ToSign.Known() && d.s.ToSign < d.radius(on)+max(0, d.e.policy.Clearance.SignGap)
}

func (d *draft) lightNear(on scheduler.Date) bool {
	return d.s.ToLight.Known() && d.s.ToLight < d.radius(on)+max(0, d.e.policy.Clearance.SignGap)
}
