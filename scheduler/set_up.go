package scheduler

import "slices"

// SetUpFor returns the minutes of traffic set-up that the visit needs on a street of
// the class. Work done from the walk on a residential street or an alley, by a
// ground crew, closes no lane; nor does work at a site without a street.
func (r *WorkRules) SetUpFor(v *Visit, class StreetClass) int {
	if v.InTheRoad(class) {
		return r.SetUp[class]
	}
	return r.WalkSetUp
}

// InTheRoad reports whether the visit stands in or beside a lane of a street of the class.
func (v *Visit) InTheRoad(class StreetClass) bool {
	quiet := class == Residential || class == Alley
	return class != "" && !(quiet && (v.Skill == Ground || v.Skill == "") && fromTheWalk(v))
}

// fromTheWalk reports whether every kind of work of the visit is done from the
// walk or the planting strip.
func fromTheWalk(v *Visit) bool {
	offTheRoad := []WorkKind{Training, WalkClearance, BasalSprouts, Inspection, FirstLook, Support, Establishment, Watering}
	for _, k := range append([]WorkKind{v.Kind}, v.Kinds...) {
		if !slices.Contains(offTheRoad, k) {
			return false
		}
	}
	return true
}

// NeedsTwo reports whether the visit must not be made alone: no saw, ladder or
// lift is used by one person (common practice).
func (v *Visit) NeedsTwo() bool {
	alone := func(k WorkKind) bool {
		return !k.Cuts() && k != MakeSafe && k != Removal && k != StumpGrinding
	}
	if v.Skill != Ground && v.Skill != "" || !alone(v.Kind) {
		return true
	}
	return slices.ContainsFunc(v.Kinds, func(k WorkKind) bool { return !alone(k) })
}
