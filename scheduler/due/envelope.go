package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// The envelope over a road or a walk, as a profile of heights by distance from
// the trunk: nothing is required before edge; from there the height rises in a
// straight line to its full value at far and stays there. A walk, and a road
// without a parking lane, is a step: edge and far are one.
type envelope struct {
	edge, far geo.Length
	gutter    geo.Length // beyond edge, let be at the legal level
	low, high scheduler.HeightRule
}

// roadEnvelope builds the profile of the tree's side of the street; false when
// the policy has no rule for the street or no street is near. The heights of a
// bus or truck lane hold from the edge of the travel lane on: from the curb
// where no parking lane lies between, and else the profile rises to them over
// the parking lane. They leave no rise towards the centre.
func (e *Engine) roadEnvelope(s *scheduler.Site) (envelope, bool) {
	curb, lane := s.ToCurb, s.ToLane
	if !curb.Known() {
		curb = lane
	}
	if !curb.Known() {
		return envelope{}, false
	}
	for i := range e.roads {
		r := &e.roads[i]
		if r.Class != s.StreetClass {
			continue
		}
		v := envelope{edge: curb, far: max(curb, lane), gutter: e.practice.LaneTolerance, low: r.AtCurb, high: r.AtLane}
		if r.ToCentre && s.HalfRoad.Known() {
			v.far = curb + s.HalfRoad
		}
		if over, tall := r.OverLane(s); tall {
			v.high, v.far = over, max(curb, lane)
			if v.far == curb {
				v.low = over
			}
		}
		return v, true
	}
	return envelope{}, false
}

func (e *Engine) walkEnvelope(s *scheduler.Site) (envelope, bool) {
	r := e.policy.Clearance.Walk
	if !s.ToWalk.Known() || r.Legal <= 0 {
		return envelope{}, false
	}
	return envelope{edge: s.ToWalk, far: s.ToWalk, low: r, high: r}, true
}

// level names one of the three heights of a rule.
type level int

const (
	legal level = iota
	actAt
	clearTo
)

// of is the height of a rule at the level.
func (l level) of(r *scheduler.HeightRule) geo.Length {
	switch l {
	case legal:
		return r.Legal
	case actAt:
		return r.ActAt
	}
	return r.ClearTo
}

// heightAt is the height required at a distance from the trunk, 0 before the edge.
func (v *envelope) heightAt(x geo.Length, at level) geo.Length {
	switch {
	case x <= v.edge:
		return 0
	case x >= v.far:
		return at.of(&v.high)
	}
	low, high := at.of(&v.low), at.of(&v.high)
	return low + geo.Length(int64(high-low)*int64(x-v.edge)/int64(v.far-v.edge))
}

// everywhere is a distance beyond any crown.
const everywhere geo.Length = 1 << 28
