package crewday

import "limbround/scheduler"

// screen keeps the visits that some day of the span allows, each once, and
// gives the others their reason.
func (b *build) screen() {
	seen := make(map[int64]bool, len(b.r.Jobs))
	for i := range b.r.Jobs {
		v := &b.r.Jobs[i].Visit
		if seen[v.ID] {
			continue
		}
		seen[v.ID] = true
		switch {
		case v.Progress != scheduler.Open && v.Progress != "":
			b.leaveOut(i, "not open: the visit is %s", v.Progress)
		case v.State == scheduler.Held:
			b.leaveOut(i, "held: %s", v.Hold)
		case v.State == scheduler.NotOurs:
			b.leaveOut(i, "not the city's tree")
		case b.openDays(&b.r.Jobs[i]) == 0:
			b.leaveOut(i, "%s", b.whyNoDay(&b.r.Jobs[i]))
		default:
			b.jobs = append(b.jobs, i)
		}
	}
}

// openDays is the set of days of the span on which the visit may be made.
func (b *build) openDays(j *Job) uint64 {
	set := uint64(0)
	for _, d := range b.fleet.days {
		if b.open(j, d) {
			set |= 1 << b.fleet.bit(d)
		}
	}
	return set
}

// open reports whether the visit's window has begun on d and no closed season
// forbids the work.
func (b *build) open(j *Job, d scheduler.Date) bool {
	v := &j.Visit
	if d < v.Window.Earliest || v.State == scheduler.OverdueClosed && d < v.ClosedTo {
		return false
	}
	kinds := v.Kinds
	if len(kinds) == 0 {
		kinds = []scheduler.WorkKind{v.Kind}
	}
	return !b.r.Seasons.ClosedOn(j.Group, kinds, d)
}

// whyNoDay names the season or window that keeps the visit out of the span.
func (b *build) whyNoDay(j *Job) string {
	last := b.fleet.days[len(b.fleet.days)-1]
	if v := &j.Visit; v.Window.Earliest > last {
		return "window not open: not before " + v.Window.Earliest.String()
	}
	for d := last.AddDays(1); d < last.AddDays(400); d = d.AddDays(1) {
		if b.open(j, d) {
			return "closed season: until " + d.AddDays(-1).String()
		}
	}
	return "closed season: every day of the coming year"
}
