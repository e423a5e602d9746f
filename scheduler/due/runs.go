package due

import "limbround/scheduler"

// overdueRoom is how long a task past its window may wait to be taken along.
const overdueRoom = 400

// option turns a task into runs of days on which it can still be done: its
// window without the closed seasons of its kind. Runs that are over are left
// out.
//
// Routine pruning is due in a season: its runs are the dormant seasons inside
// the window, and other open days only where the window has none of them left.
// A task past its window takes the first open days from today; routine pruning
// waits for the dormant season even then, unless work that cannot wait brings
// a crew to the tree anyway.
func (d *draft) option(t *task) option {
	o := option{due: t.w.Due, top: d.topWork(t.kind)}
	limit, _ := d.doseLimit()
	o.need = min(t.need, limit)
	winter := seasonal(t)
	if winter {
		d.winters(&o, t.kind, t.w.Earliest, t.w.Latest)
	}
	if o.n == 0 {
		d.runs(&o, t.kind, t.w.Earliest, t.w.Latest)
	}
	if o.n == 0 && winter && !d.urgent() {
		d.winters(&o, t.kind, d.today, d.today+overdueRoom)
	}
	if o.n == 0 {
		d.runs(&o, t.kind, d.today, d.today+overdueRoom)
	}
	if o.n == 0 {
		o.add(days{d.today, d.today + overdueRoom})
	}
	return o
}

// seasonal reports whether a task is routine pruning, which is due in a dormant season.
func seasonal(t *task) bool {
	if t.class < 4 || t.dated {
		return false
	}
	switch t.kind {
	case scheduler.Training, scheduler.RotationPrune, scheduler.RoadClearance, scheduler.WalkClearance, scheduler.Restoration, scheduler.Support:
		return true
	}
	return false
}

// urgent reports whether some task of the tree cannot wait for a season.
func (d *draft) urgent() bool {
	for i := range d.n {
		if d.tasks[i].class <= 2 {
			return true
		}
	}
	return false
}

// winters appends the open runs of the dormant seasons between two days.
func (d *draft) winters(o *option, k scheduler.WorkKind, from, to scheduler.Date) {
	c := &d.e.cal
	for y := c.at(max(from, d.today)); ; y++ {
		first, last := c.dormantIn(y)
		if first > to {
			return
		}
		d.runs(o, k, max(first, from), min(last, to))
	}
}

// runs appends the open runs between two days that do not end before today.
func (d *draft) runs(o *option, k scheduler.WorkKind, from, to scheduler.Date) {
	if to < d.today {
		return
	}
	if len(d.p.bans) == 0 {
		o.add(days{from, to})
		return
	}
	for at := d.p.opens(k, from); at != 0 && at <= to; {
		end := d.p.run(k, at, to)
		if end >= d.today {
			o.add(days{at, end})
		}
		at = d.p.opens(k, end+1)
	}
}

// add appends a run; of too many the last ones stay, which are nearer to the due day.
func (o *option) add(r days) {
	if o.n == maxRuns {
		copy(o.runs[:], o.runs[1:])
		o.n--
	}
	o.runs[o.n] = r
	o.n++
}
