package due

import "limbround/scheduler"

// Preferred months are no ban: within the dormant season in which routine
// pruning is due, its due day is the first open day that they hold. The window
// stays as it is.

// prefer moves the due days of the routine pruning tasks.
func (d *draft) prefer() {
	for i := range d.p.advice {
		if d.p.advice[i].rule.Kind == scheduler.SeasonPreferred {
			for j := range d.n {
				if seasonal(&d.tasks[j]) {
					d.preferTask(&d.tasks[j])
				}
			}
			return
		}
	}
}

func (d *draft) preferTask(t *task) {
	from, to := d.span(t.kind, d.e.cal.before(t.w.Due))
	if t.w.Due < from || t.w.Due > to {
		return // the law has left no day of the dormant season
	}
	var best scheduler.Date
	for i := range d.p.advice {
		b := &d.p.advice[i]
		if b.rule.Kind != scheduler.SeasonPreferred || !b.kinds.has(t.kind) {
			continue
		}
		if on := d.p.firstIn(b, t.kind, t.w.Due, min(to, t.w.Latest)); on != 0 && (best == 0 || on < best) {
			best = on
		}
	}
	if best != 0 {
		t.w.Due = best
	}
}

// firstIn is the first open day for a kind between two days that lies in the
// span of a rule; 0 for none.
func (p *profile) firstIn(b *ban, k scheduler.WorkKind, from, to scheduler.Date) scheduler.Date {
	at := from
	for range maxHops {
		if !b.inside(at) {
			y, _, _ := civil(at)
			next := onDay(y, b.rule.From)
			if next < at {
				next = onDay(y+1, b.rule.From)
			}
			at = next
		}
		if at = p.opens(k, at); at == 0 || at > to {
			return 0
		}
		if b.inside(at) {
			return at
		}
	}
	return 0
}

// preferredReason says, of a trip that prunes in the preferred months, whose they are.
func (d *draft) preferredReason(t *trip, on scheduler.Date) {
	for i := range d.p.advice {
		b := &d.p.advice[i]
		if b.rule.Kind != scheduler.SeasonPreferred || !b.inside(on) {
			continue
		}
		for _, j := range t.list() {
			if k := &d.tasks[j]; seasonal(k) && b.kinds.has(k.kind) {
				source := b.rule.Source
				if source == "" {
					source = b.rule.Authority
				}
				d.because(t.tasks[0], "season.preferred", d.say("Preferred: ").str(b.rule.Name).str(", ").monthDay(b.rule.From).str(" to ").monthDay(b.rule.To).
					str(": due from ").day(on).str("; no ban, the rest of the season stays open.").end(), source)
				return
			}
		}
	}
}
