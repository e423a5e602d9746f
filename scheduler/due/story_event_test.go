package due

import (
	"fmt"
	"testing"
	"time"

	"limbround/scheduler"
)

// storyEvent is something that happens to a story's tree and that its calendar
// could not know. One with a record is applied as the city would: the record
// is checked, folded over the tree as it stands, and what it calls for is
// opened. A change of the inventory (a death, a new tree, a new sign) is
// given by tree and site.
type storyEvent struct {
	on     string // civil date; with of, the first day on which it may happen
	of     scheduler.WorkKind
	what   string
	record *scheduler.WorkRecord // its id, tree, author and times are filled in
	tree   func(*scheduler.Tree)
	site   func(*scheduler.Site)
	ask    bool // print the open visits as they stand after it
}

// happen applies an event; planned is the visit that the record is about, if any.
func (r *storyRun) happen(t testing.TB, ev *storyEvent, on scheduler.Date) {
	t.Helper()
	st := storyStep{on: on, event: ev, before: r.tree}
	if ev.tree != nil {
		ev.tree(&r.tree)
		if r.tree.Planted > st.before.Planted {
			r.past, r.folded = nil, scheduler.Folded{} // another tree: its records are its own
		}
	}
	if ev.site != nil {
		ev.site(&r.site)
	}
	if ev.record != nil {
		st.opened = r.fold(t, *ev.record, on)
	}
	if ev.ask {
		st.open = r.e.Visits(r.tree, r.site, on)
		r.carry(st.open, on)
	}
	st.site, st.after = r.site, r.tree
	r.steps = append(r.steps, st)
}

// fold adds one record to the tree's past. The tree as it stands is the base,
// so the records before are part of it, and their watch items are among its items.
func (r *storyRun) fold(t testing.TB, rec scheduler.WorkRecord, on scheduler.Date) []scheduler.OpenedVisit {
	t.Helper()
	rec.ID = fmt.Sprintf("00000000-0000-4000-8000-%012d", len(r.steps)+1)
	rec.TreeID, rec.By = r.tree.ID, "crew leader"
	rec.Start = on.Time().Add(14 * time.Hour)
	rec.Finish = rec.Start.Add(20 * time.Minute)
	if rec.Outcome == "" {
		rec.Outcome = scheduler.OutcomeDone
	}
	if f := append(rec.Check(rec.Finish), rec.Against(&r.tree, on)...); len(f) > 0 {
		t.Fatalf("%s, record of %s: %+v", r.s.name, on, f)
	}
	for i := range r.past {
		r.past[i].InBase, r.past[i].Record.Watch = true, nil
	}
	r.past = append(r.past, scheduler.PastRecord{Record: rec, On: on})
	r.folded = scheduler.Fold(r.tree, r.tree.Watch, r.past, scheduler.FoldRules{FollowUp: r.e.policy.FollowUp.WithDefaults(), LeafOn: r.e.policy.Seasons.LeafOn})
	r.tree = r.folded.Tree
	opened, _ := r.folded.OpenVisits(rec.ID, &r.site, &r.e.policy)
	return opened
}

// carry lays the open follow-ups of the records over visits.
func (r *storyRun) carry(visits []scheduler.Visit, today scheduler.Date) {
	for i := range visits {
		visits[i].Carry(r.folded.FollowUps, today)
	}
}
