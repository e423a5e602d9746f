package due

import "limbround/scheduler"

// habitTrains reports whether a growth habit has a training programme of its
// stages; a palm and a pollard have a cycle instead.
func habitTrains(h scheduler.GrowthHabit) bool {
	return h != scheduler.Palm && h != scheduler.Pollard
}

// habitObjectives are the objectives of growth habits without the one-leader
// rule (common practice); nil for a habit that follows the policy's stages.
func habitObjectives(h scheduler.GrowthHabit) []string {
	switch h {
	case scheduler.Palm:
		return palmWork
	case scheduler.Pollard:
		return pollardWork
	case scheduler.Conifer:
		return coniferWork
	case scheduler.Columnar:
		return columnarWork
	case scheduler.Weeping:
		return weepingWork
	case scheduler.MultiStem:
		return multiStemWork
	case scheduler.Small:
		return smallWork
	}
	return nil
}

var (
	palmWork     = []string{"Take dead fronds and fruit only; leave every green frond"}
	pollardWork  = []string{"Cut all shoots back to the pollard heads, never into the old heads", "Remove dead and diseased wood"}
	coniferWork  = []string{"Remove dead, broken and diseased branches", "Never cut the leader", "Take low branches whole at the trunk, never two large cuts at one height"}
	columnarWork = []string{
		"Remove dead, broken, diseased and rubbing branches", "Several upright stems stay: reduce only what leans out of the outline",
		"Look at every union with included bark",
	}
	weepingWork = []string{
		"Remove dead, broken, diseased and rubbing branches", "Take hanging ends back to an upward side branch where people and vehicles pass",
		"Thin nothing inside the crown",
	}
	multiStemWork = []string{
		"Keep three to five stems that grow outward; remove crossing and inward ones while small", "Remove basal sprouts",
		"Never cut the tops back",
	}
	smallWork = []string{
		"Remove dead, broken, diseased, crossing and rubbing branches, and basal sprouts", "Two tops may stay: lighten the ends of the weaker one",
		"Remove what presses on a union",
	}
	rotationWork = []string{
		"Remove dead, diseased, broken and hanging wood", "Look at every large union, old wounds and the root flare; write down what was seen",
		"Reduce end weight of long limbs to side branches; never strip the inside", "Write down leader, lowest permanent branch and heights by side",
	}
	lookYoung = []string{
		"Measure trunk, height and lowest foliage by side", "Write down the stage: leader, competing stems, included bark, lowest permanent branch",
		"Remove dead, broken and rubbing branches", "Where no leader was ever chosen: choose one, take the smallest competitors, reduce the others; stop at the dose",
	}
	lookOld = []string{
		"Measure trunk, height and lowest foliage by side", "Look at the worst union, the base and the soil; write down what was seen",
		"Remove dead, broken and hanging wood", "Lighten long ends only where it cannot wait",
	}
	stressWork   = []string{"Take dead, diseased and broken wood only: no live cut in a crown under stress", "Write down how the crown looks and what the soil and roots show"}
	plantingWork = []string{"Planting year: take broken and dead wood only; leave every sound live branch", "Take off what binds the trunk; look at mulch, guard and root flare"}
	removalWork  = []string{"Take the tree down", "Write down what was done with the stump and the wood"}
	stumpWork    = []string{"Locate utilities, then grind the stump below grade", "Write down whether the site can be planted"}
	signWork     = []string{"Look at the signs, signals and lights from the lane, in leaf: nothing stands before them"}
	sightWork    = []string{"Stand at the driver's eye height and look along the triangle, in leaf"}
)

// stageWord names a stage in a sentence.
func stageWord(s scheduler.Stage) string {
	switch s {
	case scheduler.StageEstablishing:
		return "Establishing"
	case scheduler.StageLeader:
		return "Leader stage"
	case scheduler.StageTemporaries:
		return "Temporaries and spacing"
	case scheduler.StageRaising:
		return "Raising"
	case scheduler.StageRotation:
		return "Rotation"
	}
	return "Not assessed"
}
