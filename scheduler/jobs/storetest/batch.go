package storetest

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

// batch is an import on its way.
type batch struct {
	id    int64
	layer scheduler.Layer
	diff  scheduler.Diff
}

// counts are the totals with which a checked batch is applied.
func (b *batch) counts() scheduler.BatchCounts {
	n := int64(b.diff.New + b.diff.Changed + b.diff.Unchanged + b.diff.Merged)
	return scheduler.BatchCounts{Read: n, Accepted: n, Merged: int64(b.diff.Merged), Unchanged: int64(b.diff.Unchanged)}
}

// staged opens a batch and stages rows, numbered from 1.
func (w *town) staged(layer string, rows ...row) batch {
	w.t.Helper()
	ctx := w.t.Context()
	l, ok := scheduler.LayerNamed(layer)
	if !ok {
		w.t.Fatalf("no layer %s", layer)
	}
	list := make([]scheduler.Row, len(rows))
	for i, r := range rows {
		list[i] = scheduler.Row{Line: i + 1, Shape: r.shape, Values: make([]any, len(l.Fields))}
		for name, v := range r.f {
			at := l.Field(name)
			if at < 0 {
				w.t.Fatalf("layer %s has no field %s", layer, name)
			}
			list[i].Values[at] = v
		}
	}
	id, err := w.OpenBatch(ctx, layer, layer+".csv", w.stamp("clerk"))
	w.must(err)
	n, err := w.Stage(ctx, id, l, slices.Values(list))
	w.must(err)
	if n != int64(len(rows)) {
		w.t.Errorf("staged %d of %d rows", n, len(rows))
	}
	return batch{id: id, layer: l}
}

// check stages and checks rows; every row must get one verdict.
func (w *town) check(layer string, rows ...row) batch {
	w.t.Helper()
	b := w.staged(layer, rows...)
	w.recheck(&b)
	bad := map[int]bool{}
	for _, f := range b.diff.Faults {
		bad[f.Line] = true
	}
	if got := b.diff.New + b.diff.Changed + b.diff.Unchanged + b.diff.Merged + len(bad); got != len(rows) {
		w.t.Fatalf("%s: %d rows have a verdict, want %d: %+v", layer, got, len(rows), b.diff)
	}
	return b
}

func (w *town) recheck(b *batch) {
	w.t.Helper()
	diff, err := w.CheckStaged(w.t.Context(), b.id, b.layer, w.today())
	b.diff = taken(w, diff, err)
}

func (w *town) apply(b *batch) error {
	return w.ApplyBatch(w.t.Context(), b.id, b.layer, b.counts(), w.stamp("clerk"))
}

// imported loads rows and answers their batch.
func (w *town) imported(layer string, rows ...row) batch {
	w.t.Helper()
	b := w.check(layer, rows...)
	if len(b.diff.Faults) > 0 {
		w.t.Fatalf("%s: %v", layer, b.diff.Faults)
	}
	w.must(w.apply(&b))
	return b
}

// told prints a diff in one line: counts, then line and field of each fault.
func told(d *scheduler.Diff) string {
	var b strings.Builder
	fmt.Fprintf(&b, "new %d changed %d unchanged %d merged %d", d.New, d.Changed, d.Unchanged, d.Merged)
	for _, f := range d.Faults {
		fmt.Fprintf(&b, "; %d %s", f.Line, f.Field)
	}
	return b.String()
}

// Each row of a batch is new, changed, unchanged or at fault. The check writes
// nothing and may be repeated; the same file again changes nothing.
func batchVerdicts(t *testing.T, w *town) {
	cross := func(x, y float64, ref, name string) row {
		return row{shape: line(x, y, x+50, y), f: f{"ref": ref, "name": name, "class": "residential"}}
	}
	for _, c := range []struct {
		name, layer string
		rows        []row
		want, again string
		change      scheduler.Change // the example that the check must give
	}{
		{
			"streets", "streets",
			[]row{
				{shape: line(0, 100, 200, 100), f: f{"ref": "b1", "name": "Weir Street North"}},
				{shape: line(200, 100, 400, 100), f: f{"ref": "b2", "name": "Weir Street"}},
				cross(250, -300, "c1", "Cooper Row"), cross(250, -310, "c1", "Cooper Row"), cross(250, -320, "", "Nameless"),
				{shape: line(0, -200, 0.4, -200), f: f{"ref": "c2", "class": "alley"}},
				{f: f{"ref": "c3", "class": "alley"}},
				{shape: point(250, -350), f: f{"ref": "c4", "class": "alley"}},
			},
			"new 1 changed 1 unchanged 1 merged 0; 4 ref; 5 ref; 6 position; 7 position; 8 position",
			"new 0 changed 0 unchanged 3 merged 0; 4 ref; 5 ref; 6 position; 7 position; 8 position",
			scheduler.Change{Line: 1, Ref: "b1", Field: "name", Before: "Weir Street", After: "Weir Street North"},
		},
		{
			"districts", "districts",
			[]row{
				{shape: box(0, 0, 400, 390), f: f{"ref": "north"}},
				{shape: box(0, -400, 400, 0), f: f{"ref": "south", "name": "South"}},
				{shape: box(900, 0, 990, 90), f: f{"ref": "east", "name": "East"}},
				{shape: box(0, 0, 0.9, 0.9), f: f{"ref": "pot", "name": "Pot"}},
				{shape: line(0, 0, 9, 9), f: f{"ref": "line", "name": "Line"}},
				{shape: box(500_000, 0, 500_100, 90), f: f{"ref": "far", "name": "Far"}},
			},
			"new 1 changed 1 unchanged 1 merged 0; 4 position; 5 position; 6 position",
			"new 0 changed 0 unchanged 3 merged 0; 4 position; 5 position; 6 position",
			scheduler.Change{},
		},
		{
			"crews", "crews",
			[]row{
				{f: f{"ref": "t1", "people": int64(3)}},
				{f: f{"ref": "l1", "skills": "lift, ground"}},
				{f: f{"ref": "t2", "name": "Training two", "depot_ref": "yard", "people": int64(2)}},
				{f: f{"ref": "t3", "name": "Training three", "depot_ref": "nowhere", "people": int64(2)}},
				{f: f{"ref": "t4", "name": "Training four", "depot_ref": "yard", "people": int64(2), "skills": "ground flying", "tickets": "lift=2027-02-30"}},
			},
			"new 1 changed 1 unchanged 1 merged 0; 4 depot_ref; 5 skills; 5 tickets",
			"new 0 changed 0 unchanged 3 merged 0; 4 depot_ref; 5 skills; 5 tickets",
			scheduler.Change{Line: 1, Ref: "t1", Field: "people", Before: "2", After: "3"},
		},
		{
			"trees", "trees",
			[]row{
				tree("PL-2", "QUPA", 40, 106, f{"address": "4 Weir Street", "stage": "leader"}), tree("PL-3", "ACRU", 60, 106, f{"stage": "leader"}),
				tree("PL-7", "GIBI", 80, 106, nil), tree("PL-8", "GIBI", 80.3, 106, nil), tree("PL-9", "ACRU", 80, 106.4, nil),
				tree("PL-10", "NONE", 90, 106, nil), tree("PL-11", "GIBI", 5000, 106, nil),
				{shape: point(120, 106), f: f{"ref": "PL-12", "state": "alive"}},
			},
			"new 1 changed 1 unchanged 1 merged 1; 5 position; 6 species; 7 position; 8 species",
			"new 0 changed 0 unchanged 3 merged 1; 5 position; 6 species; 7 position; 8 species",
			scheduler.Change{Line: 1, Ref: "PL-2", Field: "address", After: "4 Weir Street"},
		},
		{
			"history", "history",
			[]row{
				past("h1", "PL-1", "training", scheduler.NewDate(2023, 3, 2)), past("h2", "PL-2", "training", scheduler.NewDate(2021, 12, 8)),
				past("h4", "PL-2", "walk_clearance", scheduler.NewDate(2024, 2, 8)), past("h5", "nobody", "training", scheduler.NewDate(2024, 2, 8)),
				past("h6", "PL-1", "training", scheduler.NewDate(2019, 10, 31)), past("h7", "PL-2", "training", w.day(1)),
			},
			"new 1 changed 0 unchanged 1 merged 0; 2 ref; 4 tree_ref; 5 done_on; 6 done_on",
			"new 0 changed 0 unchanged 2 merged 0; 2 ref; 4 tree_ref; 5 done_on; 6 done_on",
			scheduler.Change{},
		},
	} {
		before := w.picture()
		b := w.check(c.layer, c.rows...)
		first := b.diff
		w.recheck(&b)
		if diff := cmp.Diff(first, b.diff); diff != "" {
			t.Errorf("%s, checked again: %s", c.name, diff)
		}
		w.same(c.name+" checked", before, true)
		if got := told(&b.diff); got != c.want {
			t.Errorf("%s: %s\nwant %s", c.name, got, c.want)
		}
		if c.change.Line != 0 && !slices.Contains(b.diff.Examples, c.change) {
			t.Errorf("%s: no example %+v in %+v", c.name, c.change, b.diff.Examples)
		}
		w.must(w.apply(&b))
		before = w.picture()
		again := w.check(c.layer, c.rows...)
		if got := told(&again.diff); got != c.again {
			t.Errorf("%s, second time: %s\nwant %s", c.name, got, c.again)
		}
		w.must(w.apply(&again))
		w.same(c.name+" imported again", before, true)
	}
	if got := w.crewNamed("l1"); len(got.Skills) != 2 || len(got.Tickets) != 1 || got.Name != "Lift one" {
		t.Errorf("what a file leaves out stays: %+v", got)
	}
}

// A batch is applied once, as it was checked, or not at all.
func batchIsAppliedOnce(t *testing.T, w *town) {
	ctx := t.Context()
	sign := func(ref string) row { return row{shape: point(38, 104), f: f{"ref": ref, "kind": "stop"}} }
	before := w.picture()
	b := w.staged("signs", sign("s1"))
	b.diff.New = 1
	w.wants(scheduler.Clash, w.apply(&b)) // not checked
	w.recheck(&b)
	other := w.check("signs", sign("s1"))
	w.imported("walks", row{shape: line(0, 110, 200, 110), f: f{"ref": "w1", "width_mm": geo.Length(2000)}}) // another layer: no harm
	w.wants(scheduler.Invalid, w.ApplyBatch(ctx, other.id, other.layer, other.counts(), scheduler.Stamp{At: w.now}))
	w.must(w.apply(&other))
	w.wants(scheduler.Clash, w.apply(&other))
	w.wants(scheduler.Stale, w.apply(&b))
	w.recheck(&b)
	if got := told(&b.diff); got != "new 0 changed 0 unchanged 1 merged 0" {
		t.Errorf("checked again: %s", got)
	}
	b.diff.New++
	w.wants(scheduler.Stale, w.apply(&b)) // other counts than the check found
	w.wants(scheduler.Clash, w.ApplyBatch(ctx, b.id, w.staged("trees").layer, b.counts(), w.stamp("clerk")))
	w.must(w.DiscardBatch(ctx, b.id, w.stamp("clerk")))
	w.wants(scheduler.NotFound, w.DiscardBatch(ctx, b.id, w.stamp("clerk")))
	w.wants(scheduler.NotFound, w.apply(&b))
	w.wants(scheduler.Clash, w.DiscardBatch(ctx, other.id, w.stamp("clerk")))
	_, err := w.OpenBatch(ctx, "roads", "x", w.stamp("clerk"))
	w.wants(scheduler.NotFound, err)
	_, err = w.Stage(ctx, other.id, other.layer, slices.Values([]scheduler.Row{}))
	w.wants(scheduler.Clash, err)

	held := w.staged("signs", sign("s2"))
	w.wants(scheduler.Clash, w.HoldBatch(ctx, held.id, held.counts(), w.stamp("clerk"))) // not checked
	w.recheck(&held)
	w.must(w.HoldBatch(ctx, held.id, held.counts(), w.stamp("clerk")))
	if b, err := w.Batch(ctx, held.id); err != nil || b.MayApply() != nil || b.Counts != held.counts() {
		t.Errorf("a held batch waits with its counts: %+v, %v", b, err)
	}
	w.must(w.apply(&held))
	w.wants(scheduler.Clash, w.HoldBatch(ctx, held.id, held.counts(), w.stamp("clerk")))
	if b, err := w.Batch(ctx, held.id); err != nil || b.State != "applied" {
		t.Errorf("the batch is applied: %+v, %v", b, err)
	}
	_, err = w.Batch(ctx, 999_999)
	w.wants(scheduler.NotFound, err)

	last := w.check("trees", tree("PL-20", "ACRU", 180, 106, nil))
	w.must(w.DiscardBatch(ctx, last.id, w.stamp("clerk")))
	for _, p := range w.picture().Trees {
		if p.Listed.Tree.Ref == "PL-20" {
			t.Error("a discarded batch left a tree")
		}
	}
	if after := w.picture(); len(after.Trees) != len(before.Trees) || after.Trees[1].Listed.Site.ToSign == geo.None {
		t.Errorf("the sign by PL-2 is not seen: %+v", after.Trees[1].Listed.Site)
	}
}
