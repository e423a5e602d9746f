package scheduler

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
)

// A slow tree has less to correct after three years than a fast one, and a fast
// one outgrows the small cut sooner. No publication found gives the interval
// as a function of growth; the shift by growth class and its bounds are this
// project's own rule.

// The bounds of an interval that the growth class has shifted, growing seasons.
const (
	paceLeast = 2
	paceMost  = 5
)

var paceClasses = []string{"slow", "moderate", "fast"}

// Pace is what the species' growth class adds to the training intervals,
// growing seasons. A policy without figures takes one more for a slow species: the
// stages' own intervals are set for the fast ones that most street trees are. A
// class that a policy with figures leaves out takes none.
func (r *TrainingRules) Pace(growth string) int {
	if r.GrowthSeasons != nil {
		return r.GrowthSeasons[growth]
	}
	if growth == "slow" {
		return 1
	}
	return 0
}

// PaceSource is where the shifts by growth class come from.
func (r *TrainingRules) PaceSource() string {
	if r.GrowthSource != "" {
		return r.GrowthSource
	}
	return "this project's own rule; Ryder & Moore 2013: every 2 to 4 years when young"
}

// Paced is a stage's interval shifted by a growth class. It stays within 2 to 5
// growing seasons, unless the policy's own interval lies beyond them already.
func Paced(seasons, pace int) int {
	return min(max(seasons+pace, min(seasons, paceLeast)), max(seasons, paceMost))
}

func (r *TrainingRules) checkPace(d *policyDecoder) {
	const at = "training.growth_seasons"
	for _, class := range slices.Sorted(maps.Keys(r.GrowthSeasons)) {
		key := fmt.Sprintf("%s.%s", at, class)
		word(d, key, class, paceClasses)
		if n := r.GrowthSeasons[class]; d.given(key) && (n < -3 || n > 3) {
			d.refuse(key, strconv.Itoa(n), "want a whole number of growing seasons from -3 to 3")
		}
	}
	if _, given := d.lines["training.growth_source"]; given {
		d.text("training.growth_source", r.GrowthSource)
	}
}
