package due

import "limbround/scheduler"

// trips bundles the tasks and writes one visit for each trip, in the order of
// their days. Tasks that share are bundled first; then those that only join
// are laid into a trip that falls on one of their days.
func (d *draft) trips() []scheduler.Visit {
	var opts [maxTasks]option
	var of [maxTasks]int // the task of an option
	n := 0
	for i := range d.n {
		if d.tasks[i].company == shares {
			opts[n] = d.option(&d.tasks[i])
			of[n] = i
			n++
		}
	}
	var list [maxTasks]trip
	trips := 0
	if n > 0 {
		limit, _ := d.doseLimit()
		b := bundleTasks(opts[:n], doses{cal: &d.e.cal, limit: limit, year: d.t.DoseSeason, used: d.t.DoseUsed}, d.lineFrom(opts[:n]))
		trips = b.trips
		for i := range n {
			t := &list[b.trip[i]]
			t.day = b.day[b.trip[i]]
			t.add(of[i])
		}
	}
	shared := trips
	for i := range d.n {
		if c := d.tasks[i].company; c != shares {
			o := d.option(&d.tasks[i])
			best := -1
			w := &d.tasks[i].w // an overdue one goes by itself: it would make the whole trip overdue
			for j := range shared {
				day := list[j].day
				if c != joins || day < w.Earliest || day > w.Latest || !o.allows(day) || d.splits(day) && d.worksHigh(&list[j]) {
					continue
				}
				if best < 0 || o.shift(day) < o.shift(list[best].day) {
					best = j
				}
			}
			if best < 0 {
				best = trips
				trips++
				list[best].day = single(&o).day[0]
			}
			list[best].add(i)
		}
	}
	out := make([]scheduler.Visit, 0, trips)
	for range trips {
		next := -1
		for j := range trips {
			if list[j].n > 0 && (next < 0 || list[j].day < list[next].day) {
				next = j
			}
		}
		out = append(out, d.visit(&list[next]))
		list[next].n = 0
	}
	return out
}

// trip is one visit under construction.
type trip struct {
	day   scheduler.Date // the day the bundler chose
	works scheduler.Date // the day it can be worked on: the due day, or a later one when that has gone by
	tasks [maxTasks]int
	n     int
}

func (t *trip) add(task int) {
	t.tasks[t.n] = task
	t.n++
}

func (t *trip) list() []int { return t.tasks[:t.n] }

func (d *draft) has(t *trip, k scheduler.WorkKind) bool {
	for _, i := range t.list() {
		if d.tasks[i].kind == k {
			return true
		}
	}
	return false
}

// window is the part of the tasks' windows that meets them all. A trip that
// takes along a task past its window has that task's window: it is what is overdue.
func (d *draft) window(t *trip) scheduler.Window {
	w := d.tasks[t.tasks[0]].w
	if t.n == 1 {
		return w
	}
	oldest, alone := w, true
	for _, i := range t.list()[1:] {
		if k := &d.tasks[i]; k.company == joins && k.deadline.IsZero() && d.tasks[t.tasks[0]].company != joins {
			continue // goes along, and moves nothing
		}
		alone = false
		o := d.tasks[i].w
		if o.Latest < oldest.Latest {
			oldest = o
		}
		w.Earliest, w.Latest = max(w.Earliest, o.Earliest), min(w.Latest, o.Latest)
	}
	if alone {
		return w
	}
	if oldest.Latest < d.today || w.Earliest > w.Latest {
		return oldest
	}
	w.Due = d.firstOfSeason(t, w.Earliest, min(max(t.day, w.Earliest), w.Latest))
	return w
}

// visit writes a trip.
func (d *draft) visit(t *trip) scheduler.Visit {
	d.order(t)
	w := d.window(t)
	t.works = max(t.day, w.Due)
	class, deadline, skill := 4, false, scheduler.Ground
	for _, i := range t.list() {
		k := &d.tasks[i]
		class = min(class, d.classOf(k))
		deadline = deadline || !k.deadline.IsZero()
		if dearer(k.skill, skill) {
			skill = k.skill
		}
	}
	lead := d.tasks[t.tasks[0]].kind
	v := scheduler.Visit{
		TreeID: d.t.ID, SiteID: d.t.SiteID, Kind: lead, Window: w, Progress: scheduler.Open,
		Class: class, Skill: d.wireSkill(t.works, d.worksHigh(t), skill), PolicyID: d.e.policy.ID, AsOf: d.today,
	}
	v.State, v.ClosedTo = d.state(t, w)
	v.Minutes, v.ChipsL = d.effort(t.list(), w.Due)
	if d.prunes(t) {
		v.Dose, _ = d.doseOn(w.Due)
	}
	d.sanitation(t)
	d.preferredReason(t, w.Due)
	s := d.score(w, deadline)
	if v.State == scheduler.NotAssessed {
		s.late = 0 // no record is not overdue
	}
	v.Score = s.sum()
	season := d.seasonOf(t, w)

	var room [3][maxLines]phrase
	objectives := d.objectives(t, room[0][:0], w.Due)
	limits := d.limits(t, room[1][:0], w.Due)
	cautions := d.cautions(t, room[2][:0], w, v.State)
	scored := d.scoreText(class, s)

	all := string(d.buf)
	v.Season = season.in(all)
	lines := make([]string, 0, len(objectives)+len(limits)+len(cautions))
	for _, list := range [...][]phrase{objectives, limits, cautions} {
		for _, p := range list {
			lines = append(lines, p.in(all))
		}
	}
	a, b := len(objectives), len(objectives)+len(limits)
	v.Objectives, v.Limits, v.Cautions = lines[:a:a], lines[a:b:b], lines[b:]
	v.Kinds = make([]scheduler.WorkKind, 0, t.n)
	n := 1
	for _, i := range t.list() {
		v.Kinds = append(v.Kinds, d.tasks[i].kind)
		for r := range d.nr {
			if d.reasons[r].task == i {
				n++
			}
		}
	}
	v.Reasons = make([]scheduler.Reason, 0, n)
	for _, i := range t.list() {
		for r := range d.nr {
			if q := &d.reasons[r]; q.task == i {
				v.Reasons = append(v.Reasons, scheduler.Reason{Rule: q.rule, Text: q.text.in(all), Source: q.source})
			}
		}
	}
	v.Reasons = append(v.Reasons, scheduler.Reason{Rule: "priority", Text: scored.in(all), Source: scoreSource})
	return v
}

const maxLines = 12

// order puts the task that leads the visit first: the most urgent class, then the order of kinds.
func (d *draft) order(t *trip) {
	before := func(a, b int) bool {
		ta, tb := &d.tasks[a], &d.tasks[b]
		if ca, cb := d.leadClass(ta), d.leadClass(tb); ca != cb {
			return ca < cb
		}
		return rank(ta.kind) < rank(tb.kind)
	}
	for i := 1; i < t.n; i++ {
		for j := i; j > 0 && before(t.tasks[j], t.tasks[j-1]); j-- {
			t.tasks[j], t.tasks[j-1] = t.tasks[j-1], t.tasks[j]
		}
	}
}

// leadClass keeps the lead of a routine visit from changing with its deadline.
func (d *draft) leadClass(t *task) int {
	if t.class <= 2 {
		return t.class
	}
	return 4
}

func dearer(a, b scheduler.Skill) bool { return skillRank(a) > skillRank(b) }

func skillRank(s scheduler.Skill) int {
	switch s {
	case scheduler.Lift:
		return 1
	case scheduler.LineClearance:
		return 2
	}
	return 0
}

// state is where the visit stands today.
func (d *draft) state(t *trip, w scheduler.Window) (scheduler.VisitState, scheduler.Date) {
	if t.n == 1 && d.tasks[t.tasks[0]].kind == scheduler.FirstLook {
		return scheduler.NotAssessed, 0
	}
	switch {
	case d.today < w.Due:
		return scheduler.Upcoming, 0
	case d.today <= w.Latest:
		return scheduler.Due, 0
	}
	open := d.today
	for range maxHops {
		at := open
		for _, i := range t.list() {
			if next := d.p.opens(d.tasks[i].kind, open); next != 0 {
				open = next
			}
		}
		if open == at {
			break
		}
	}
	if open > d.today {
		return scheduler.OverdueClosed, open
	}
	return scheduler.Overdue, 0
}

// cutsLive reports whether any task of the trip cuts live wood.
func (d *draft) cutsLive(t *trip) bool {
	for _, i := range t.list() {
		if liveCuts.has(d.tasks[i].kind) {
			return true
		}
	}
	return false
}

// prunes reports whether the trip takes live wood out of the crown: sprouts at
// the base count against no dose.
func (d *draft) prunes(t *trip) bool {
	for _, i := range t.list() {
		if k := d.tasks[i].kind; k != scheduler.BasalSprouts && liveCuts.has(k) {
			return true
		}
	}
	return false
}
