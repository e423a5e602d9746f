package due

import "limbround/scheduler"

// Restoration of a broken crown, after the day on which it was made safe.
//
// Torn and broken wood is cut clean to sound side branches within days. Then
// the crown answers with sprouts, and the policy's years after the breakage,
// counted in growing seasons, are its visits: the first a look only, the others
// thin the sprouts, about a third each time, until an inspection ends it
// (common practice). Which step is next follows from the newest restoration
// visit alone, so that the order in which records arrive does not matter: a
// visit as late as the next step's counts as that step, and what was skipped is
// not made up for. Routine work leaves the crown its leaves until the season after
// the look.

// restoration adds the next step of a tree that broke.
func (d *draft) restoration() {
	t, c := d.t, &d.e.cal
	broke := t.BrokenOn
	if broke.IsZero() || d.p.species.Habit == scheduler.Palm {
		return
	}
	years := d.e.care.RestoreYears
	season := c.counted(broke)
	if _, end := c.dormantIn(c.after(season + years[len(years)-1])); end < d.e.start {
		return // over before the policy took effect
	}
	d.rest(c.after(season+years[0]), broke)
	restored := t.LastRestored
	if restored < broke {
		if restored = 0; max(t.LastTraining, t.LastRotation) <= broke {
			d.cleanCuts(broke)
			return
		}
	}
	for i, n := range years {
		if d.restoreStep(i, n, c.after(season+n-1), broke, restored) {
			return
		}
	}
	d.restoreEnd(max(restored, broke))
}

// rest keeps routine live cuts from a crown that broke until the dormant season
// of a year. A bound that comes earlier counts more.
func (d *draft) rest(year int, broke scheduler.Date) {
	for i := range d.n {
		t := &d.tasks[i]
		switch t.kind {
		case scheduler.Training, scheduler.RotationPrune, scheduler.RoadClearance, scheduler.WalkClearance:
		default:
			continue
		}
		w := d.season(t.kind, year)
		if t.class < 4 || t.w.Earliest >= w.Earliest || (!t.deadline.IsZero() && t.deadline < w.Latest) {
			continue
		}
		moves := t.w.Due < w.Due
		t.w = scheduler.Window{Earliest: w.Earliest, Due: max(t.w.Due, w.Due), Latest: max(t.w.Latest, w.Latest)}
		if moves {
			d.because(i, "restoration.rest", d.say("Broken on ").day(broke).str(": beside the repair no live cut before ").season(year).
				str("; the crown needs its leaves.").end(), commonPractice)
		}
	}
}

// cleanCuts adds the clean cuts to sound side branches. In a closed season they
// wait for its end, unless somebody with the right to it decides otherwise.
func (d *draft) cleanCuts(broke scheduler.Date) {
	k := scheduler.Restoration
	by := broke.AddDays(d.e.care.CleanDays)
	i := d.add(task{kind: k, class: 3, deadline: by, dated: true, skill: d.highSkill(broke), w: scheduler.Window{Earliest: broke, Due: broke, Latest: by}})
	d.mends = cleanWork
	d.because(i, "restoration.clean", d.say("Broken and made safe on ").day(broke).str(": torn and broken wood is cut clean to sound side branches within ").
		num(d.e.care.CleanDays).str(" days, by ").day(by).str(", and the unions are rated again.").end(), commonPractice)
	if open := d.p.opens(k, broke); open > by {
		to := open.AddDays(d.e.care.CleanDays)
		d.tasks[i].w, d.tasks[i].deadline = scheduler.Window{Earliest: broke, Due: open, Latest: to}, to
		d.because(i, "restoration.closed", d.say("Those days lie in a closed season, to ").day(open-1).str(": the clean cuts wait for ").day(open).
			str(", unless a named approver orders an emergency cut.").end(), d.p.closing(k, broke).rule.Source)
	}
}

// restoreStep adds visit i, n growing seasons after the breakage, in the
// dormant season of a year; false when it is done.
func (d *draft) restoreStep(i, n, year int, broke, restored scheduler.Date) bool {
	t, c := d.t, &d.e.cal
	if i == 0 {
		w := d.season(scheduler.Inspection, year)
		from, to := c.growingIn(c.counted(broke) + n - 1)
		w.Earliest = max(broke, from+(to-from)/2) // sprouts show in leaf
		if max(restored, t.LastInspected, t.LastTraining, t.LastRotation) >= w.Earliest {
			return false
		}
		if j, ok := d.inspect(task{class: 4, skill: scheduler.Ground, w: ordered(w)}, lookOnly); ok {
			d.because(j, "restoration.look", d.say("Broken on ").day(broke).str(": a look only after ").seasons(n).
				str("; no sprout is taken, the crown needs its leaves.").end(), commonPractice)
		}
		return true
	}
	k := scheduler.Restoration
	w := d.season(k, year)
	if restored >= w.Earliest {
		return false
	}
	if !restored.IsZero() {
		if first := c.after(c.full(restored)); first > year { // a late visit moves the next one
			year = first
			w = d.season(k, year)
		}
	}
	last := len(d.e.care.RestoreYears) - 1
	j := d.add(task{kind: k, class: 4, need: d.e.practice.TrainingTakePct, skill: d.highSkill(w.Due), w: ordered(w)})
	d.mends = thinWork
	d.because(j, "restoration.sprouts", d.say("Restoration visit ").num(i).str(" of ").num(last).str(", ").seasons(n).str(" after the breakage of ").day(broke).
		str(": about a third of the sprouts comes out, the best placed stay.").end(), commonPractice)
	return true
}

// restoreEnd adds the inspection that ends the restoration, one growing season
// after its last visit.
func (d *draft) restoreEnd(last scheduler.Date) {
	if d.t.LastInspected > last && d.t.LastInspected > d.t.BrokenOn && (d.t.LastRestored >= d.t.BrokenOn || len(d.e.care.RestoreYears) == 1) {
		return
	}
	c := &d.e.cal
	i, ok := d.inspect(task{class: 4, skill: scheduler.Ground, w: d.season(scheduler.Inspection, c.after(c.counted(last)))}, endWork)
	if !ok {
		return
	}
	d.because(i, "restoration.end", d.say("The last restoration visit was on ").day(last).
		str(": an inspection one growing season later ends the restoration.").end(), commonPractice)
}

var (
	cleanWork = []string{
		"Restoration: cut torn and broken wood clean to sound side branches; leave no stubs, take no more live crown than that needs",
		"Rate every union near the break again; a crack or a hanger: stop, keep people out, call", "Write down what broke, where and how large",
	}
	thinWork = []string{
		"Restoration: take about a third of the sprouts, the worst placed first; never all in one visit",
		"Reduce the next best to side branches; keep one to three well spaced as new leaders of each stub", "Look at the old break for decay and at the unions",
	}
	lookOnly = []string{
		"Restoration: look only and take no sprouts; note where strong ones stand", "Look at the break for decay and cracks; a crack or a hanger: stop, keep people out, call",
	}
	endWork = []string{
		"Restoration: look at unions of the new leaders, old breaks and decay; write down what is left to do", "A qualified assessor rates what carries weight over walk or road",
	}
)
