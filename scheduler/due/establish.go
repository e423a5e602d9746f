package due

import "limbround/scheduler"

// young adds what a planted tree needs beside its training: the visits of its
// establishment, the inspection before its warranty ends, water, and its basal sprouts.
func (d *draft) young() {
	if d.stage != scheduler.StageUnknown {
		d.establishment()
		d.warranty()
		d.sprouts()
	}
	d.watering()
}

// establishment adds the next of the two visits of a planted tree's first year:
// ties off at six months, and stakes off by twelve. A visit late enough for
// the second has done the first as well.
func (d *draft) establishment() {
	t, p := d.t, &d.e.practice
	if t.Planted.IsZero() || d.stage != scheduler.StageEstablishing {
		return
	}
	from, by := addMonths(t.Planted, p.EstablishFrom), addMonths(t.Planted, p.EstablishBy)
	stakes := max(from, by.AddDays(-2*p.WarrantyDays))
	seen := cared(t)
	if by < d.e.start || seen >= stakes {
		return
	}
	k := task{kind: scheduler.Establishment, class: 4, skill: scheduler.Ground, dated: true}
	if seen < from {
		k.w = scheduler.Window{Earliest: from, Due: from, Latest: max(from, min(by, addMonths(from, 3)))}
		k.company = d.apartWhenLate(k.w)
		d.because(d.add(k), "establishment.ties", d.say("Planted ").day(t.Planted).str(": ties off from ").day(from).
			str(", stakes off by ").day(by).str(".").end(), commonPractice)
		return
	}
	k.w = scheduler.Window{Earliest: stakes, Due: max(stakes, by.AddDays(-p.WarrantyDays)), Latest: by}
	k.deadline, k.company = by, d.apartWhenLate(k.w)
	d.because(d.add(k), "establishment.stakes", d.say("Planted ").day(t.Planted).str(": stakes off by ").day(by).
		str("; look at mulch, guard, root flare and girdling roots.").end(), commonPractice)
}

// apartWhenLate keeps ties and stakes that are overdue from making the training
// visit overdue with them.
func (d *draft) apartWhenLate(w scheduler.Window) company {
	if d.today > w.Latest {
		return joins
	}
	return shares
}

// cared is the newest visit that looked at the whole of a young tree.
func cared(t *scheduler.Tree) scheduler.Date {
	return max(t.LastInspected, t.LastTraining, t.LastRotation)
}

// underWarranty is the warranty's last day; false for a planting whose date
// gives no day.
func (d *draft) underWarranty() (scheduler.Date, bool) {
	switch d.t.Precision {
	case scheduler.PreciseDay, scheduler.PreciseMonth, scheduler.PreciseSeason:
		return addMonths(d.t.Planted, d.e.warranty), !d.t.Planted.IsZero()
	case scheduler.PreciseYear, scheduler.PreciseNone:
	}
	return 0, false
}

// warranty adds the inspection before the warranty of a planted tree ends.
func (d *draft) warranty() {
	end, ok := d.underWarranty()
	if !ok || end < d.e.start {
		return
	}
	days := d.e.practice.WarrantyDays
	first := max(d.t.Planted, end.AddDays(-2*days))
	if cared(d.t) >= first {
		return
	}
	i, ok := d.inspect(task{
		class: 4, skill: scheduler.Ground, dated: true, deadline: end, company: joins,
		w: scheduler.Window{Earliest: first, Due: max(first, end.AddDays(-days)), Latest: end},
	}, warrantyWork)
	if !ok {
		return
	}
	d.because(i, "establishment.warranty", d.say("Planted ").day(d.t.Planted).str(", under warranty for ").num(d.e.warranty).str(" months to ").day(end).
		str(": inspected ").num(days).str(" days before; what is dead or failing is claimed by then.").end(), commonPractice)
}

// claim says that a dead tree died under its warranty.
func (d *draft) claim(task int, dead scheduler.Date) {
	if end, ok := d.underWarranty(); ok && dead <= end && end >= d.e.start {
		d.because(task, "removal.warranty", d.say("Planted ").day(d.t.Planted).str(" and dead within the warranty that ends on ").day(end).
			str(": claim it by then, with a photo and the planting lot, before it is taken down; the replacement goes on the same site in the next planting season.").end(), commonPractice)
	}
}

var (
	warrantyWork = []string{
		"Warranty inspection: write down alive, failing or dead, with a photo; claim what fails",
		"Look at leader, trunk, guard, root flare, girdling roots and planting depth", "Look at mulch and basal sprouts",
	}
	establishShort = "Establishment: ties and stakes off when due; look at mulch, guard, root flare and girdling roots"
)
