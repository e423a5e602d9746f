package due

import (
	"math"

	"limbround/geo"
	"limbround/scheduler"
)

// The underside of a crown rises from the trunk outward. Its lower half is
// taken as half an ellipsoid: it hangs lowest, at the crown base, beside the
// trunk, and reaches its full radius R at a height of rise above the base, so
// that at a distance x from the trunk it hangs at
//
//	base + rise * (1 - sqrt(1 - (x/R)^2))
//
// The form is common practice in crown models; the rise, a share of the
// radius, is a figure of the policy, from memory. The share is of the radius
// and not of the crown's height, so that at one place the underside only sinks
// while the crown widens: a side that once breaks a height goes on breaking it.
//
// Over a profile that is flat or a straight line, what the profile asks for
// less what the underside leaves is a concave function of x. Its greatest
// value lies where the slopes are equal, or at an end; that is found in one step.
type crown struct {
	base, radius geo.Length
	rise         float64
}

// crownOf is the side's crown on a day as it would be without a cut.
func (d *draft) crownOf(s *side, on scheduler.Date) crown {
	r := d.radius(on)
	return crown{base: s.base - d.sag(on), radius: r, rise: float64(r) * float64(d.e.practice.CrownRisePct) / 100}
}

// lift is how much higher than the base the underside hangs at a distance from
// the trunk; at the radius and beyond it is the whole rise.
func (c *crown) lift(x geo.Length) float64 {
	if x >= c.radius {
		return c.rise
	}
	u := float64(x) / float64(c.radius)
	return c.rise * (1 - math.Sqrt(1-u*u))
}

// start is the distance from the trunk at which a level begins to count: the
// edge; for the legal height of a road the strip over the gutter is let be.
func (v *envelope) start(at level) geo.Length {
	if at == legal {
		return v.edge + v.gutter
	}
	return v.edge
}

// worst is the distance from the trunk at which the crown has the least room
// under the profile; false for a crown that does not reach the profile.
func (v *envelope) worst(c *crown, at level) (geo.Length, bool) {
	x := v.start(at) + 1
	if c.radius < x {
		return 0, false
	}
	far := min(v.far, c.radius)
	if far <= x || c.rise <= 0 {
		return max(x, far), true // nothing rises: the far end, or a single step
	}
	slope := float64(at.of(&v.high)-at.of(&v.low)) / float64(v.far-v.edge)
	k := slope * float64(c.radius) / c.rise // the underside is as steep as the profile where u/sqrt(1-u^2) = k
	if k <= 0 {
		return x, true
	}
	u := k / math.Sqrt(1+k*k)
	return max(x, min(far, geo.Length(u*float64(c.radius)))), true
}

// baseFor is the lowest base at which the crown meets the profile; 0 for a
// crown that does not reach it.
func (v *envelope) baseFor(c *crown, at level) geo.Length {
	x, ok := v.worst(c, at)
	if !ok {
		return 0
	}
	return geo.Length(math.Ceil(float64(v.heightAt(x, at)) - c.lift(x)))
}

// free is the distance from the trunk out to which the crown meets the
// profile: far beyond any crown when all of it does.
func (v *envelope) free(c *crown, at level) geo.Length {
	over := func(x geo.Length) bool { return float64(v.heightAt(x, at)) > float64(c.base)+c.lift(x) }
	worst, ok := v.worst(c, at)
	if !ok || !over(worst) {
		return everywhere
	}
	lo, hi := v.start(at), worst // free at lo, not at hi, and concave between
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; over(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo
}
