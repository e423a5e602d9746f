package due

import "limbround/scheduler"

// A sign or signal that somebody found hidden is a watch item of the record
// that says so ("stop sign hidden by leaves"). What the site's numbers foresee
// of the crown does not matter then: it is work of weeks, like foliage below a
// legal height, and no dormant season is waited for. In a closed season it
// needs a named approver and takes the smallest cuts that open the view; the
// rest is left to the season's end (common practice).

// hides reports whether the item is a sign or signal found hidden.
func hides(w *scheduler.WatchItem) bool {
	return !w.Resolved && (holds(w.What, "sign") || holds(w.What, "signal")) && (holds(w.What, "hidden") || holds(w.What, "hides"))
}

// hidden is the item of the sign or signal that was found hidden first, nil for none.
func (d *draft) hidden() *scheduler.WatchItem {
	var first *scheduler.WatchItem
	for i := range d.t.Watch {
		if w := &d.t.Watch[i]; hides(w) && (first == nil || w.SeenOn < first.SeenOn) {
			first = w
		}
	}
	return first
}

func (d *draft) hiddenTask(w *scheduler.WatchItem) task {
	by := w.SeenOn.AddDays(d.e.practice.LegalDays)
	return task{
		kind: scheduler.SightClearance, class: 2, skill: scheduler.Ground, deadline: by, company: alone,
		w: scheduler.Window{Earliest: w.SeenOn, Due: w.SeenOn, Latest: by},
	}
}

func (d *draft) hiddenReason(i int, w *scheduler.WatchItem) {
	k := scheduler.SightClearance
	d.because(i, "clearance.hidden", d.item(w, "").str(" was found on ").day(w.SeenOn).str(": the view is opened within ").
		num(d.e.practice.LegalDays).str(" days.").end(), commonPractice)
	if b := d.p.closing(k, w.SeenOn); b != nil {
		d.because(i, "clearance.hidden_closed", d.say("That day lies in a closed season, to ").day(b.end(w.SeenOn)).
			str(": before its end only with a named approver, and no more than opens the view.").end(), b.rule.Source)
	}
}

// hiddenObjective is the work at the sign; false when none was found hidden.
func (d *draft) hiddenObjective(on scheduler.Date) (phrase, bool) {
	w := d.hidden()
	if w == nil {
		return phrase{}, false
	}
	s := d.item(w, "Open the view: ").str("; the smallest cuts that do it")
	if left, _ := d.doseOn(on); left == 0 {
		s = s.str(", though no live crown is left to take")
	}
	if d.p.closing(scheduler.SightClearance, on) != nil {
		s = s.str("; the rest in winter")
	}
	return s.str(".").end(), true
}

// viewsOpened takes the items of hidden signs off the tree of a calendar.
func viewsOpened(t *scheduler.Tree) {
	left := make([]scheduler.WatchItem, 0, len(t.Watch))
	for i := range t.Watch {
		if !hides(&t.Watch[i]) {
			left = append(left, t.Watch[i])
		}
	}
	t.Watch = left
}
