package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// Temporary branches (common practice). Low branches of a young tree feed the
// trunk and are not to stay. They are kept short, reduced to a side branch
// where they thicken, and leave over two to four visits: the largest first,
// the twiggiest last, each before its own limit, which is tighter than the
// small cut. The walk side is kept back from the first visit on.

// temporary reports whether the words name a temporary branch.
func temporary(what string) bool { return holds(what, "temporary") }

// cutFor is the diameter by which a watched branch is to be out.
func (d *draft) cutFor(w *scheduler.WatchItem) geo.Length {
	if temporary(w.What) {
		return min(d.p.cutMax, d.e.build.TemporaryCut)
	}
	return d.p.cutMax
}

const maxTemporaries = 16 // more than these are taken in the order in which they were found

// temporaries is what a visit does with the temporary branches: places in the
// tree's watch list, the thickest first. The first out of them go today.
type temporaries struct {
	item [maxTemporaries]int
	all  int
	out  int
}

// temporariesOn sorts the temporary branches and chooses those that go: the
// policy's share of them, and each that would pass its limit before the next visit.
func (d *draft) temporariesOn(on scheduler.Date) temporaries {
	var t temporaries
	next := addMonths(on, 12*d.interval())
	ready, must := 0, 0
	for j := range d.t.Watch {
		w := &d.t.Watch[j]
		if w.Resolved || !temporary(w.What) || (w.Intent != scheduler.RemoveLater && w.Intent != scheduler.DecideNext) || t.all == maxTemporaries {
			continue
		}
		if d.waited(w, on) {
			ready++
			if d.leftUntil(w, on, next) > float64(d.cutFor(w)) {
				must++
			}
		}
		k := t.all
		for ; k > 0 && d.goesBefore(w, &d.t.Watch[t.item[k-1]], on); k-- {
			t.item[k] = t.item[k-1]
		}
		t.item[k] = j
		t.all++
	}
	t.out = max(must, (ready*d.e.build.TemporaryShare+99)/100)
	return t
}

// leftUntil is the diameter at the next visit of a temporary that is reduced
// today and left, or stays as it was reduced before.
func (d *draft) leftUntil(w *scheduler.WatchItem, on, next scheduler.Date) float64 {
	now, then := d.branchAt(w, on).branch, d.branchAt(w, next).branch
	if w.ReducedOn.IsZero() {
		return now + (then-now)*float64(d.e.practice.ReducedPct)/100
	}
	return then
}

// goesBefore orders temporaries: those that may go before those that must wait, then the thicker.
func (d *draft) goesBefore(a, b *scheduler.WatchItem, on scheduler.Date) bool {
	if x, y := d.waited(a, on), d.waited(b, on); x != y {
		return x
	}
	return d.branchAt(a, on).branch > d.branchAt(b, on).branch
}

// waited reports whether a full growing season lies between the item's last
// reduction and the season of a visit.
func (d *draft) waited(w *scheduler.WatchItem, on scheduler.Date) bool {
	if w.ReducedOn.IsZero() {
		return true
	}
	c := &d.e.cal
	from, _ := d.span(scheduler.Training, c.after(c.full(w.ReducedOn)))
	return on >= from
}

// has reports whether the item at a place in the watch list is one of them.
func (t *temporaries) has(place int) bool {
	for _, j := range t.item[:t.all] {
		if j == place {
			return true
		}
	}
	return false
}

// goes reports whether the item at a place in the watch list is taken today.
func (t *temporaries) goes(place int) bool {
	for _, j := range t.item[:t.out] {
		if j == place {
			return true
		}
	}
	return false
}

// temporaryObjective writes the order of the temporaries in one line.
func (d *draft) temporaryObjective(t *temporaries) phrase {
	s := d.say("Temporary branches, largest first: ")
	list := func(head string, items []int, keep func(*scheduler.WatchItem) bool) {
		first := true
		for _, j := range items {
			w := &d.t.Watch[j]
			if !keep(w) {
				continue
			}
			if first {
				s = s.str(head)
			} else {
				s = s.str(", ")
			}
			first = false
			s = s.str(w.Letter)
			if w.Diameter > 0 {
				s = s.str(" (").width(w.Diameter).str(")")
			}
		}
		if !first {
			s = s.str("; ")
		}
	}
	fresh := func(w *scheduler.WatchItem) bool { return w.ReducedOn.IsZero() }
	list("take out ", t.item[:t.out], func(*scheduler.WatchItem) bool { return true })
	list("reduce to a side branch ", t.item[t.out:t.all], fresh)
	list("leave for the next visits ", t.item[t.out:t.all], func(w *scheduler.WatchItem) bool { return !fresh(w) })
	return s.str("keep the walk side back from day one, the twiggiest go last.").end()
}
