package due

import "limbround/scheduler"

// establishment adds the first-year visit of a planted tree: ties at six
// months, stakes off by twelve, and the warranty inspection before the usual
// year is over. It is done once a visit is on record after its first month.
func (d *draft) establishment() {
	t, p := d.t, &d.e.practice
	if t.Planted.IsZero() || d.stage != scheduler.StageEstablishing {
		return
	}
	from, by := addMonths(t.Planted, p.EstablishFrom), addMonths(t.Planted, p.EstablishBy)
	if by < d.e.start || lastSeen(t) >= from {
		return
	}
	due := max(from, by.AddDays(-p.WarrantyDays))
	i := d.add(task{
		kind: scheduler.Establishment, class: 4, skill: scheduler.Ground, deadline: by,
		w: scheduler.Window{Earliest: from, Due: due, Latest: by},
	})
	d.because(i, "establishment.first_year", d.say("Planted ").day(t.Planted).str(": ties off from ").day(from).
		str(", stakes off and the warranty inspection ").num(p.WarrantyDays).str(" days before ").day(by).str(".").end(), commonPractice)
}
