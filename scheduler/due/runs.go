package due

import "limbround/scheduler"

// overdueRoom is how long a task past its window may wait to be taken along.
const overdueRoom = 400

// option turns a task into runs of days on which it can still be done: its
// window without the closed seasons of its kind. Runs that are over are left
// out. A task past its window takes the first open days from today.
func (d *draft) option(t *task) option {
	o := option{due: t.w.Due, need: t.need}
	limit, _ := d.doseLimit()
	o.need = min(o.need, limit)
	d.runs(&o, t.kind, t.w.Earliest, t.w.Latest, d.today)
	if o.n == 0 {
		d.runs(&o, t.kind, d.today, d.today+overdueRoom, d.today)
	}
	if o.n == 0 {
		o.runs[0] = days{d.today, d.today + overdueRoom}
		o.n = 1
	}
	return o
}

// runs appends the open runs between two days that do not end before today.
func (d *draft) runs(o *option, k scheduler.WorkKind, from, to, today scheduler.Date) {
	if len(d.p.bans) == 0 {
		if to >= today {
			o.runs[0] = days{from, to}
			o.n = 1
		}
		return
	}
	for at := d.p.opens(k, from); at != 0 && at <= to && o.n < maxRuns; {
		end := d.p.run(k, at, to)
		if end >= today {
			o.runs[o.n] = days{at, end}
			o.n++
		}
		at = d.p.opens(k, end+1)
	}
}
