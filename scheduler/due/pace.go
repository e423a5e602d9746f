package due

import "limbround/scheduler"

// The interval of training by growth. A stage's own interval holds for a
// species of moderate growth; the policy shifts it by the class that the
// species table gives, and keeps it within bounds. The class of the table is
// used and not the curve: a curve tells how fast the trunk thickens and not
// how much there is to correct, and in one region's curves a ginkgo thickens
// as fast as a plane. The time of establishment is roots' time and not shifted.

// seasons is the interval of a stage for the tree's species, growing seasons.
func (d *draft) seasons(stage int) int {
	n := d.e.stages[stage].Seasons
	if stage == stageIndex(scheduler.StageEstablishing) {
		return n
	}
	return scheduler.Paced(n, d.p.pace)
}

// intervalText begins the reason of an interval, and gives its source: a
// species that takes another one than the stage's own is named for it.
func (d *draft) intervalText() (sentence, string) {
	s := d.say(stageWord(d.stage))
	rule := d.rule()
	n := d.seasons(stageIndex(d.stage))
	switch {
	case n == rule.Seasons:
		return s, rule.Source
	case d.p.species.Growth == "slow":
		s = s.str(", slow grower")
	case d.p.species.Growth == "fast":
		s = s.str(", fast grower")
	default:
		s = s.str(", moderate grower")
	}
	return s, d.e.policy.Training.PaceSource()
}
