package city

import (
	"math"
	"math/rand/v2"

	"limbround/geo"
	"limbround/scheduler"
)

// The city's programme works, but it is stretched: most trees are visited in
// time, some have slipped, and two districts have been left behind for years.

// care is how one tree has fared in the programme.
type care struct {
	seen     bool    // anybody ever wrote down a visit to it
	lapsed   float64 // years since the visits stopped; 0 for a tree in its turn
	thorough float64 // chance that a visit also sees to the road and the walk side
	young    float64 // chance of a visit in its first year
}

// carePlans are the shares of trees never seen and of trees whose visits
// stopped, and the chances of the rest.
var carePlans = [2]struct{ unseen, lapsed, thorough, young float64 }{
	{0.18, 0.055, 0.975, 0.95}, // in turn
	{0.25, 0.29, 0.84, 0.7},    // neglected
}

func (c *City) careFor(r *rand.Rand, at geo.Point) care {
	p := &carePlans[0]
	if c.neglected(at) {
		p = &carePlans[1]
	}
	u, years := r.Float64(), between(r, 5.6, 9.5)
	out := care{seen: u >= p.unseen, thorough: p.thorough, young: p.young}
	if u >= 1-p.lapsed {
		out.lapsed = years
	}
	return out
}

// neglected reports whether a place lies in one of the two districts that the
// programme has left behind. Which two they are is drawn once for a city.
func (c *City) neglected(at geo.Point) bool {
	all := c.shares()
	first := draw(c.req.Seed, streamCare, 0).IntN(len(all))
	return c.inShare(at, all[first]) || c.inShare(at, all[(first+len(all)/2)%len(all)])
}

// inShare reports whether a place lies in a district.
func (c *City) inShare(at geo.Point, s share) bool {
	e, r := &c.extent, &c.river
	q := r.uv(at)
	column := int((q.X - e.u0) / (e.u1 - e.u0) * float64(e.columns))
	bank, edge := 1.0, e.v1
	lo := r.mid(q.X)
	if q.Y < lo {
		bank, edge = -1, e.v0
	}
	lo += bank * r.half
	t := (q.Y - lo) / (edge - lo)
	return column == s.column && bank == s.bank && t >= s.t0 && t < s.t1
}

// verge is what lies beside a tree, in metres from its trunk.
type verge struct {
	curb, lane, walk float64
	corner           bool // near enough to a junction to stand in a sight line
}

func (c *City) vergeOf(i int, spot place) verge {
	s, f := &c.streets[i], c.face(i)
	v := verge{curb: f.tree, lane: f.tree, walk: f.strip - f.tree}
	if side := map[bool]string{true: "left", false: "right"}[spot.onLeft]; s.Parking == "both" || s.Parking == side {
		v.lane += 2.4
	}
	v.corner = min(spot.at, length(s.Line)-spot.at) < 27
	return v
}

// sides is what a visit leaves on the road and the walk side.
type sides struct {
	road, walk float64            // lowest foliage, m
	kind       scheduler.WorkKind // the clearance that was done, empty for none
	reduced    bool               // a side that could not be raised was cut back instead
}

// style is how high a tree was raised by those who had it over the years.
type style struct {
	overWalk, overLane float64 // heights aimed at, m
	round              bool    // the walk side was raised with the road side
}

// styleOf draws a tree's style. The heights of the region are 8 ft over walks and
// at the curb and 14 ft over lanes, with the usual margins, but few crews cut
// to them at every tree: so that where the crowns begin is like that of real street
// trees, by the size of the stem.
func (c *City) styleOf(ref string) style {
	r := draw(c.req.Seed, streamStyle, mixRef(ref))
	var s style
	switch pick(r, []float64{62, 23, 15}) {
	case 0:
		s.overWalk = between(r, 1.6, 2.1)
	case 1:
		s.overWalk = between(r, 2.1, 2.6)
	default:
		s.overWalk = 2.75
	}
	switch pick(r, []float64{65, 17, 18}) {
	case 0:
		s.overLane = between(r, 2.4, 3.4)
	case 1:
		s.overLane = between(r, 3.4, 4.7)
	default:
		s.overLane, s.round = between(r, 4.7, 5.8), chance(r, 0.7)
	}
	return s
}

// clear raises both sides as far as the tree's style and six tenths of live
// crown allow, high enough for the crown to grow and sag until the next visit, and
// cuts back what that leaves in the way. The heights are those of the region: 8 ft
// over walks and at the curb, 14 ft over lanes, with the usual margins.
func (l *life) clear(on scheduler.Date, v verge, was sides) sides {
	const overWalk, overLane, sag = 2.75, 4.7, 0.4
	out := sides{road: was.road, walk: was.walk}
	reach := l.crown(on.AddYears(4)) / 2
	floor := 0.4 * l.height(on)
	raise := func(base, target float64) float64 {
		if l.kind.conifer {
			target = min(target, 2.6)
		}
		return max(base, min(floor, target))
	}
	if reach > v.walk {
		up := lift(v.walk, reach)
		out.walk = raise(was.walk, l.style.overWalk-up+sag)
		out.kind = scheduler.WalkClearance
		out.reduced = out.walk < overWalk-up
	}
	if reach > v.curb {
		target, aim := overWalk-lift(v.curb, reach), l.style.overWalk-lift(v.curb, reach)
		if reach > v.lane {
			target = max(target, overLane-lift(v.lane, reach))
			aim = max(aim, l.style.overLane-lift(v.lane, reach))
		}
		out.road = raise(was.road, aim+sag)
		out.kind = scheduler.RoadClearance
		out.reduced = out.reduced || out.road < target
	}
	if l.style.round && out.kind != "" {
		out.walk = max(out.walk, out.road)
	}
	if out.road < was.road+0.15 && out.walk < was.walk+0.15 && !out.reduced {
		out.kind = "" // both sides were high enough
	}
	return out
}

// lift is how much higher than beside the trunk a crown hangs at a distance
// from it: the lower half of an ellipsoid, eight tenths of its radius deep.
func lift(x, radius float64) float64 {
	return 0.8 * (radius - math.Sqrt(max(radius*radius-x*x, 0)))
}
