package scheduler

import "time"

// DoseSeason is the growing season that a cut made on d draws on: the season
// under way or, from November on, when the leaves are down, the one to come.
// So work of one dormant season counts as one, on either side of New Year.
// (Northern temperate zone, common practice.)
func DoseSeason(d Date) int {
	if d.Month() >= time.November {
		return d.Year() + 1
	}
	return d.Year()
}
