package storetest

import (
	"sync/atomic"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
)

// plainVisit stands for the rules where a test is about the pass itself.
func plainVisit(in *scheduler.DueInput) []scheduler.Visit {
	return []scheduler.Visit{{
		TreeID: in.Tree.ID, SiteID: in.Tree.SiteID, Kind: scheduler.Training, Kinds: []scheduler.WorkKind{scheduler.Training},
		Window: scheduler.Window{Due: scheduler.NewDate(2026, 3, 1), Latest: scheduler.NewDate(2026, 10, 31)}, State: scheduler.Overdue,
		Class: 4, Skill: scheduler.Ground, Minutes: 12, Objectives: []string{"Choose one leader"},
	}}
}

// passOver runs decide over the given trees, or all.
func (w *town) passOver(asOf scheduler.Date, trees []int64, decide func(*scheduler.DueInput) []scheduler.Visit) (scheduler.DueStats, error) {
	return w.DuePass(w.t.Context(), asOf, scheduler.DueScope{Trees: trees}, decide, 0, w.stamp("night"), nil)
}

func (w *town) pass(asOf scheduler.Date, trees []int64, decide func(*scheduler.DueInput) []scheduler.Visit) error {
	_, err := w.passOver(asOf, trees, decide)
	return err
}

// A pass over some trees leaves the others alone, and counts its own.
func duePassOverSome(t *testing.T, w *town) {
	w.due()
	others := w.lead("PL-3")
	stats, err := w.passOver(w.today(), []int64{w.treeNamed("PL-2").ID, w.treeNamed("PL-4").ID, 999_999}, plainVisit)
	w.must(err)
	if stats.Trees != 2 || stats.Visits != 2 || stats.Overdue != 2 || stats.ByKind[scheduler.Training] != 2 {
		t.Errorf("%+v", stats)
	}
	if after := w.lead("PL-3"); after.ID != others.ID || after.Revision != others.Revision {
		t.Errorf("another tree's visit was written: %+v", after)
	}
	if got := w.open("PL-4"); len(got) != 1 || got[scheduler.Training].Minutes != 12 {
		t.Errorf("PL-4: %+v", got)
	}
	before := w.picture()
	stats, err = w.passOver(w.today(), []int64{}, plainVisit)
	w.must(err)
	if stats.Trees != 0 || stats.Visits != 0 {
		t.Errorf("over no tree: %+v", stats)
	}
	w.same("a pass over no tree", before, false)
}

// A tree that is recorded while the pass is under way is left to its record,
// which saw the newer facts.
func duePassLeavesRecordedTrees(t *testing.T, w *town) {
	w.due()
	v := w.lead("PL-2")
	var once atomic.Bool
	stats, err := w.passOver(w.today(), nil, func(in *scheduler.DueInput) []scheduler.Visit {
		if in.Tree.Ref == "PL-2" && once.CompareAndSwap(false, true) {
			w.send(w.recordOf(1, v, nil))
		}
		return plainVisit(in)
	})
	w.must(err)
	if stats.Written.Skipped != 1 {
		t.Errorf("wrote %+v, want one tree skipped", stats.Written)
	}
	if got, err := w.Visit(t.Context(), v.ID); err != nil || got.Progress != scheduler.Completed {
		t.Errorf("the recorded visit is %s, %v", got.Progress, err)
	}
	for _, open := range w.open("PL-2") {
		if open.Minutes == 12 && len(open.Objectives) == 1 && open.Objectives[0] == "Choose one leader" {
			t.Errorf("the pass wrote over the record: %+v", open)
		}
	}
	if got := w.open("PL-4"); got[scheduler.Training].Minutes != 12 {
		t.Errorf("the pass left PL-4 alone too: %+v", got)
	}
}

// A night's table is kept as the pass over every tree found it; later work
// does not change it.
func nightsAreKept(t *testing.T, w *town) {
	ctx := t.Context()
	first := w.today()
	w.due()
	then, err := w.OverdueOn(ctx, first)
	w.must(err)
	w.due("PL-2") // some trees are no night
	w.days(3)
	w.send(w.recordOf(1, w.lead("PL-2"), nil))
	w.due()
	again, err := w.OverdueOn(ctx, first)
	w.must(err)
	if diff := cmp.Diff(then, again); diff != "" || then.AsOf != first || then.Total.Trees != 6 {
		t.Errorf("the table of the night changed: %s", diff)
	}
	nights, err := w.OverdueNights(ctx)
	w.must(err)
	if len(nights) != 2 || nights[0].Night != w.today() || nights[1].Night != first || nights[1].Late != then.Total.Late || nights[1].Trees != 6 {
		t.Errorf("nights: %+v", nights)
	}
	_, err = w.OverdueOn(ctx, first+1)
	w.wants(scheduler.NotFound, err)
}
