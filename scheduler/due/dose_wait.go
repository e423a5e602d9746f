package due

import "limbround/scheduler"

// doseWaits moves the sides that may wait behind the growing season whose live
// crown has been taken already, as the training visit is: they take live wood
// too. A bound that comes earlier counts more.
func (d *draft) doseWaits() {
	t, c := d.t, &d.e.cal
	if t.DoseUsed == 0 {
		return
	}
	limit, _ := d.doseLimit()
	if limit == 0 || limit-t.DoseUsed >= d.e.practice.TrainingTakePct {
		return
	}
	for i := range d.n {
		k := &d.tasks[i]
		if k.class < 4 || (k.kind != scheduler.RoadClearance && k.kind != scheduler.WalkClearance) {
			continue
		}
		next := d.season(k.kind, c.after(t.DoseSeason))
		if next.Due <= k.w.Earliest || (!k.deadline.IsZero() && k.deadline < next.Due) {
			continue
		}
		last := max(k.w.Latest, next.Latest)
		if !k.deadline.IsZero() {
			last = min(last, k.deadline)
		}
		moves := k.w.Due < next.Due
		k.w = scheduler.Window{Earliest: next.Due, Due: max(k.w.Due, next.Due), Latest: last}
		if moves {
			d.because(i, "clearance.dose", d.say("Dose reached: ").num(t.DoseUsed).str(" % of the live crown was taken in the growing season ").
				growing(t.DoseSeason).str(", at most ").num(limit).str(" % may be: this side waits for the next.").end(), d.e.policy.Training.DoseSource)
		}
	}
}
