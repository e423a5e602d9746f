package due

import (
	"slices"

	"limbround/scheduler"
)

// otherGrowth adds to a list the species whose line of the growth rules differs.
func otherGrowth(list []string, before, after scheduler.GrowthRules) []string {
	for _, s := range slices.Concat(before.Species, after.Species) {
		a, _ := before.Of(s.Species)
		b, _ := after.Of(s.Species)
		if (a == nil || b == nil || *a != *b) && !slices.Contains(list, s.Species) {
			list = append(list, s.Species)
		}
	}
	return list
}
