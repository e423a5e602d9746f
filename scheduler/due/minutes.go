package due

import (
	"math"

	"limbround/scheduler"
)

// unlisted is the time of a kind that the policy gives no figure for (common practice).
const unlisted = 15

func minutesByRank(kinds []scheduler.KindMinutes) [len(kindOrder)]scheduler.KindMinutes {
	var out [len(kindOrder)]scheduler.KindMinutes
	for i := range out {
		out[i] = scheduler.KindMinutes{Kind: kindOrder[i], Base: unlisted, Source: commonPractice}
	}
	for _, k := range kinds {
		if r := rank(k.Kind); r < len(out) {
			out[r] = k
		}
	}
	return out
}

// effort is the work of a trip. Every kind brings its base time; the time and
// the chips that grow with the trunk are counted once, for the kind with the
// most, since the crew works over one crown once. The policy's spread is added
// so that four days in five finish on time.
func (d *draft) effort(tasks []int, on scheduler.Date) (minutes, chips int) {
	cm := max(0, d.at(on).DBH.CM())
	var base, slope, litres float64
	for _, i := range tasks {
		k := &d.e.minutes[rank(d.tasks[i].kind)]
		base += k.Base
		slope = max(slope, k.PerCM)
		litres = max(litres, k.Chips)
	}
	mean := base + slope*cm
	minutes = int(math.Ceil(mean*float64(100+d.e.policy.Work.SpreadPct)/100 - 1e-9))
	return min(minutes, 1440), int(math.Round(litres * cm))
}
