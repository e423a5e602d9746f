package due

import "limbround/scheduler"

// besides lists, in one line each, what the trip is for beside the work of the
// kind that leads it.
func (d *draft) besides(t *trip, out *[maxTasks]string) int {
	n := 0
	put := func(s string) {
		out[n] = s
		n++
	}
	stress := d.t.Vigour == scheduler.VigourPoor // which takes no live cut
	for _, i := range t.list()[1:] {
		if stress && liveCuts.has(d.tasks[i].kind) {
			continue
		}
		switch d.tasks[i].kind {
		case scheduler.Restoration:
			put(d.mends[0])
		case scheduler.Inspection:
			put(d.looks[0])
		case scheduler.Establishment:
			put(establishShort)
		case scheduler.BasalSprouts:
			if d.p.species.Habit != scheduler.Small || stress || !d.has(t, scheduler.Training) { // where the first objective names them
				put(sproutShort)
			}
		}
	}
	return n
}

// stormWork reports whether end weight is among the objectives; a plain
// rotation prune has it in its own list.
func (d *draft) stormWork(t *trip) bool {
	if d.p.storm.objective == "" || d.t.Vigour == scheduler.VigourPoor {
		return false
	}
	return d.has(t, scheduler.Training) || (d.has(t, scheduler.RotationPrune) && habitObjectives(d.p.species.Habit) != nil)
}

// sanitation gives the reason for the sanitation caution of a trip that makes wood.
func (d *draft) sanitation(t *trip) {
	if s := d.p.sanitation; s != "" && (d.cutsLive(t) || d.has(t, scheduler.Removal)) {
		d.because(t.tasks[0], "sanitation", d.say("The species carries ").str(s).str(": tools are disinfected and wood stays in its zone.").end(), "species table, common practice")
	}
}
