package due

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// storyRun is a story as it was played.
type storyRun struct {
	tb     testing.TB
	s      *story
	e      *Engine
	tree   scheduler.Tree
	site   scheduler.Site
	began  scheduler.Date
	steps  []storyStep
	past   []scheduler.PastRecord
	folded scheduler.Folded
}

// storyStep is a visit, an event, or both: an event that is the record of the visit.
type storyStep struct {
	on     scheduler.Date // the day it is done
	visit  *scheduler.Visit
	event  *storyEvent
	opened []scheduler.OpenedVisit // what the event's record calls for
	open   []scheduler.Visit       // what the rules want after the event
	before scheduler.Tree
	after  scheduler.Tree
	site   scheduler.Site
}

// playStory runs the calendar, interrupted by the events, in their order.
func playStory(t testing.TB, s *story) *storyRun {
	t.Helper()
	r := &storyRun{tb: t, s: s, e: presetEngine(t, s.preset, s.edit), tree: s.tree(), site: s.site(), began: day(s.began)}
	now := day(s.today)
	end := addMonths(now, 12*s.years)
	events := s.events
	for range 10 * mostTrips { // a guard, as in Calendar; events must still come to pass
		next, at := r.e.nextTrip(&r.tree, &r.site, now)
		if len(events) > 0 {
			ev := &events[0]
			from := scheduler.Date(0)
			if ev.on != "" {
				from = max(day(ev.on), now)
			}
			if ev.of == "" && (next == nil || at >= from) {
				r.happen(t, ev, from)
				now, events = from, events[1:]
				continue
			}
			if ev.of != "" && next != nil && slices.Contains(next.Kinds, ev.of) && (at >= from || from <= next.Window.Latest) {
				at = max(at, from)
				r.visit(next, at)
				v := r.steps[len(r.steps)-1]
				r.steps = r.steps[:len(r.steps)-1]
				r.happen(t, ev, at)
				r.steps[len(r.steps)-1].visit = v.visit
				now, events = at+1, events[1:]
				continue
			}
		}
		if next == nil || at > end {
			break
		}
		r.visit(next, at)
		r.e.done(&r.tree, &r.site, next, at)
		r.steps[len(r.steps)-1].after = r.tree
		now = at + 1
	}
	if len(events) > 0 {
		t.Fatalf("%s: the event %q never happened", s.name, events[0].what)
	}
	return r
}

func (r *storyRun) visit(v *scheduler.Visit, at scheduler.Date) {
	one := []scheduler.Visit{*v}
	if at > day(r.s.today) { // as Calendar has it
		one[0].State, one[0].ClosedTo = scheduler.Upcoming, 0
		if v.Kind == scheduler.FirstLook && len(v.Kinds) == 1 {
			one[0].State = scheduler.NotAssessed
		}
	}
	r.carry(one, at)
	before := r.tree
	before.Watch = slices.Clone(r.tree.Watch)
	r.tree.Watch = slices.Clone(r.tree.Watch)
	r.steps = append(r.steps, storyStep{on: at, visit: &one[0], before: before, after: before, site: r.site})
}

// t is a day in years since the story began.
func (r *storyRun) t(on scheduler.Date) float64 { return r.began.YearsTo(on) }

// day is the day that lies a number of years after the beginning.
func (r *storyRun) day(t float64) scheduler.Date { return addMonths(r.began, int(t*12+0.5)) }

// treeOn is the tree as it was known on a day: after the last step before it.
func (r *storyRun) treeOn(on scheduler.Date) (scheduler.Tree, scheduler.Site) {
	tree, site := r.s.tree(), r.s.site()
	for i := range r.steps {
		if r.steps[i].on > on {
			break
		}
		tree, site = r.steps[i].after, r.steps[i].site
	}
	return tree, site
}

// draftOn is a draft about the tree as known on a day, for what the engine
// works out without printing it.
func (r *storyRun) draftOn(on scheduler.Date) *draft {
	tree, site := r.treeOn(on)
	return r.draft(&tree, &site, on)
}

func (r *storyRun) draft(tree *scheduler.Tree, site *scheduler.Site, on scheduler.Date) *draft {
	d := &draft{e: r.e, t: tree, s: site, today: on}
	if d.p = r.e.species[tree.Species]; d.p == nil {
		d.p = r.e.other
	}
	d.proj = d.p.curve.Project(*tree, d.undated())
	d.settle()
	return d
}

// print writes the story's years for its golden file.
func (r *storyRun) print(b *bytes.Buffer) {
	for i := range r.steps {
		st := &r.steps[i]
		if st.visit != nil {
			fmt.Fprintf(b, "t%.1f  ", r.t(st.on))
			r.show(b, st.visit, &st.before, &st.site, st.on)
		}
		if st.event != nil {
			r.showEvent(b, st)
		}
	}
}

// show prints one visit: everything a person would read, and the tree's size on the day it is done.
func (r *storyRun) show(b *bytes.Buffer, v *scheduler.Visit, tree *scheduler.Tree, site *scheduler.Site, on scheduler.Date) {
	d := r.draft(tree, site, on)
	size := d.at(on)
	fmt.Fprintf(b, "%s  (%s / %s / %s)  %s  %s\n", v.Season, v.Window.Earliest, v.Window.Due, v.Window.Latest, v.State, words(v.Kinds))
	fmt.Fprintf(b, "    on %s: dbh %.1f cm, height %.1f m, highest base %.1f m; %s; class %d, score %d, %s, %d min, %d l of chips, dose %d %%\n",
		on, size.DBH.CM(), size.Height.M(), highestBase(d, on).M(), stageWord(d.stage), v.Class, v.Score, v.Skill, v.Minutes, v.ChipsL, v.Dose)
	if v.Hold != "" {
		fmt.Fprintf(b, "    held: %s, until %s\n", v.Hold, v.HoldUntil)
	}
	showTexts(b, v)
}

func showTexts(b *bytes.Buffer, v *scheduler.Visit) {
	for i, s := range v.Objectives {
		fmt.Fprintf(b, "    %d. %s\n", i+1, s)
	}
	for _, s := range v.Limits {
		fmt.Fprintf(b, "    limit: %s\n", s)
	}
	for _, s := range v.Cautions {
		fmt.Fprintf(b, "    caution: %s\n", s)
	}
	for _, r := range v.Reasons {
		fmt.Fprintf(b, "    %s: %s [%s]\n", r.Rule, r.Text, r.Source)
	}
}

func (r *storyRun) showEvent(b *bytes.Buffer, st *storyStep) {
	fmt.Fprintf(b, "t%.1f  EVENT %s: %s\n", r.t(st.on), st.on, st.event.what)
	if rec := st.event.record; rec != nil {
		fmt.Fprintf(b, "    record: %s; the tree is %s", words(rec.Kinds), st.after.State)
		if rec.CouldNot != "" {
			fmt.Fprintf(b, ", could not: %s", rec.CouldNot)
		}
		if rec.LiveCrown > 0 {
			fmt.Fprintf(b, ", live crown taken %d %%", rec.LiveCrown)
		}
		fmt.Fprintln(b)
		for i := range st.after.Watch {
			if w := &st.after.Watch[i]; !w.Resolved {
				fmt.Fprintf(b, "    %s: %s, %d of %d mm, %s, %s\n", w.Letter, w.What, w.Diameter, w.StemDiameter, w.Intent, w.Done)
			}
		}
	}
	for i := range st.opened {
		o := &st.opened[i]
		fmt.Fprintf(b, "  opened by records: %s, class %d, %s, act by %s, done %t\n", words(o.Visit.Kinds), o.Visit.Class, o.Visit.Skill, o.ActBy.Format("2006-01-02 15:04"), o.Done)
		showTexts(b, &o.Visit)
	}
	for i := range st.open {
		fmt.Fprint(b, "  then open: ")
		r.show(b, &st.open[i], &st.after, &st.site, st.on)
	}
}

func words(kinds []scheduler.WorkKind) string {
	out := make([]string, len(kinds))
	for i, k := range kinds {
		out[i] = string(k)
	}
	return strings.Join(out, " + ")
}

// highestBase is the crown base at the least live crown ratio, whatever was
// planned on the tree.
func highestBase(d *draft, on scheduler.Date) geo.Length {
	return d.treeHeight(on) * geo.Length(100-d.e.policy.Training.LiveCrownMin) / 100
}
