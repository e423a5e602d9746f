package due

import "limbround/scheduler"

// Who works at the top of a tree under a power line. From the day on which the
// top stands in the approach zone, work there is for a line-clearance crew, and
// the city's own crew does what lies below: the two do not share a trip. Under
// a line of unknown height all work is for the line crew, and nothing is split.

// topWork reports whether a kind works in the upper crown.
func (d *draft) topWork(k scheduler.WorkKind) bool {
	switch k {
	case scheduler.RotationPrune, scheduler.Removal, scheduler.Restoration:
		return true
	case scheduler.Training:
		return d.leaderWork()
	}
	return false
}

// worksHigh reports whether the trip works in the upper crown.
func (d *draft) worksHigh(t *trip) bool {
	for _, i := range t.list() {
		if d.topWork(d.tasks[i].kind) {
			return true
		}
	}
	return false
}

// splits reports whether on a day the top is the line crew's and what lies
// below it the city's.
func (d *draft) splits(on scheduler.Date) bool {
	return d.s.WireHeight.Known() && d.topInZone(on)
}

// lineFrom is the first day on which tasks at the top and tasks below it no
// longer share a trip; 0 when they always may. The crown only grows, so that
// halving finds the day.
func (d *draft) lineFrom(tasks []option) scheduler.Date {
	if !d.powered() || !d.s.WireHeight.Known() || !mixed(tasks) {
		return 0
	}
	lo, hi := tasks[0].runs[0].from, tasks[0].runs[tasks[0].n-1].to
	for i := range tasks[1:] {
		o := &tasks[1+i]
		lo, hi = min(lo, o.runs[0].from), max(hi, o.runs[o.n-1].to)
	}
	if !d.splits(hi) {
		return 0
	}
	for lo < hi {
		if mid := lo + (hi-lo)/2; d.splits(mid) {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return hi
}

// mixed reports whether some of the tasks are at the top and some are not.
func mixed(tasks []option) bool {
	for i := range tasks {
		if tasks[i].top != tasks[0].top {
			return true
		}
	}
	return false
}

// leavesSides reports whether the trip works at the top alone: the sides are
// the city's, and stay as they are until its crew comes.
func (d *draft) leavesSides(t *trip) bool { return d.splits(t.works) && d.worksHigh(t) }

// leavesTop reports whether the trip is of the city's crew, below the zone of the line.
func (d *draft) leavesTop(t *trip) bool { return d.splits(t.works) && !d.worksHigh(t) }

// lineWork is what a line crew prunes for at the top of a tree that stays
// (common practice of directional pruning).
var lineWork = []string{
	"Reduce what grows into the zone of the line to side branches that grow away from it, at least a third of the cut stem; no heading cuts",
	"Favour branches that spread below the line; take the smallest competing tops",
	"Remove dead, broken and hanging wood near the line",
}
