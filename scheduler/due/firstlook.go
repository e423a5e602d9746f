package due

import "limbround/scheduler"

// firstLook adds the first assessment of a tree without a record. No record is
// not overdue: the looks are spread over the policy's years, main streets and
// large trees first, and within a year's share by a hash of the tree's id, so
// that a tree keeps its year from one pass to the next.
func (d *draft) firstLook() {
	e, t := d.e, d.t
	years := max(1, e.policy.FirstLook.Years)
	start := e.start
	if start.IsZero() {
		start = d.today
	}
	first := e.cal.before(start.AddDays(-1)) + 1 // the first season that begins once records count
	slot := d.lookSlot(years)
	k := scheduler.FirstLook
	w := d.season(k, first+slot)
	w.Earliest, _ = d.span(k, first)
	i := d.add(task{kind: k, class: 4, w: ordered(w), skill: scheduler.Ground})
	s := d.say("No visit is on record: not assessed, which is not overdue. First looks are spread over ").years(years).
		str(" from ").season(first).str("; ").str(streetWord(d.s.StreetClass))
	if dbh := d.at(start).DBH; dbh > 0 {
		s = s.str(", trunk about ").width(dbh)
	}
	d.because(i, "first_look.spread", s.str(": year ").num(slot+1).str(".").end(), e.policy.FirstLook.Source)
	if t.Planted.IsZero() {
		d.because(i, "first_look.age", d.say("Planting date not recorded; equivalent age about ").num(int(d.at(start).Age+0.5)).
			str(" years on the growth curve.").end(), "growth curve "+d.p.curve.Name)
	}
}

// lookSlot is the year of the spread, from 0. A hash draws it: evenly for most
// trees, weighted to the front for large trees on main streets (half of them in
// the first quarter of the years), and as much to the back for small trees on
// quiet ones. So every year has its share, and the front has what matters most.
func (d *draft) lookSlot(years int) int {
	weight := streetWeight(d.s.StreetClass) // 5 .. 30
	start := max(d.e.start, 1)
	weight += min(30, max(0, int(d.at(start).DBH))/20) // one point for each 2 cm of trunk, 60 cm and more count alike
	const one = 1 << 16
	h := int(mix(d.t.Ref) % one)
	switch {
	case weight >= 40:
		h = h * h / one
	case weight < 20:
		h = one - 1 - (one-1-h)*(one-1-h)/one
	}
	return h * years / one
}

// mix draws from the city's own number of the tree (FNV-1a, then the finaliser
// of the SplitMix64 generator, so that neighbouring numbers fall far apart). The number that
// a database gave it would not do: a tree brought in again must keep its year.
func mix(ref string) uint64 {
	x := uint64(0xcbf29ce484222325)
	for i := range len(ref) {
		x = (x ^ uint64(ref[i])) * 0x100000001b3
	}
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

func streetWeight(c scheduler.StreetClass) int {
	switch c {
	case scheduler.Arterial:
		return 30
	case scheduler.Collector:
		return 20
	case scheduler.Residential:
		return 10
	}
	return 5
}

func streetWord(c scheduler.StreetClass) string {
	switch c {
	case scheduler.Arterial:
		return "arterial street"
	case scheduler.Collector:
		return "collector street"
	case scheduler.Residential:
		return "residential street"
	case scheduler.Alley:
		return "alley"
	}
	return "street class not known"
}
