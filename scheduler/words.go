package scheduler

import "slices"

// CouldNots returns every code for a visit that could not be done, in the
// order of the database's enum.
func CouldNots() []CouldNot {
	return []CouldNot{
		CarInTheWay, SignsMissing, NestFound, WireClose, NeedsLift, Weather, ResidentOrDog, TreeGone, DeadOrHazard,
		WrongSpecies, DoseReached, RanOutOfDay,
	}
}

// Stages returns the training stages in order.
func Stages() []Stage {
	return []Stage{StageUnknown, StageEstablishing, StageLeader, StageTemporaries, StageRaising, StageRotation}
}

// Cuts reports whether work of this kind takes live wood off a standing tree:
// what nests, wires, a spent dose or a dead tree put on hold.
func (k WorkKind) Cuts() bool {
	switch k {
	case Training, RoadClearance, WalkClearance, SightClearance, RotationPrune, Restoration, BasalSprouts:
		return true
	}
	return false
}

// InPassing reports whether work of these kinds alone says nothing about the
// tree itself: it was watered, or its sprouts were taken, and nobody looked at it.
func InPassing(kinds []WorkKind) bool {
	return !slices.ContainsFunc(kinds, func(k WorkKind) bool { return k != Watering && k != BasalSprouts })
}

// rank is the place of the stage in the order of training, -1 for an unknown word.
func (s Stage) rank() int { return slices.Index(Stages(), s) }

// rank orders skills by cost.
func (s Skill) rank() int { return slices.Index([]Skill{Ground, Lift, LineClearance}, s) }

// atLeast returns the dearer of two skills.
func (s Skill) atLeast(o Skill) Skill {
	if o.rank() > s.rank() {
		return o
	}
	return s
}
