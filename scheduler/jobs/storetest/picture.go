package storetest

import (
	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
)

// picture is all of a store that can be read. Two pictures of one store are
// equal when nothing was written in between.
type picture struct {
	City                scheduler.City
	Districts, Sections []scheduler.Area
	Streets             []scheduler.Street
	Depots              []scheduler.Depot
	Dumps               []scheduler.Dump
	Crews               []scheduler.Crew
	Trees               []treePicture
	Plans               []scheduler.Plan
	Packets             []scheduler.Packet
	Overdue             scheduler.OverdueTable
	Batches             []scheduler.Batch
	LastRun             scheduler.Date
	Departures          []scheduler.Deviation
}

type treePicture struct {
	Listed   scheduler.TreeSite
	Seen     scheduler.RecordInput // what the decision on a record would see
	Visits   []scheduler.Visit
	Records  []scheduler.WorkEntry
	Measured []scheduler.Measurement
}

// taken keeps the answer of a read that must not fail.
func taken[T any](w *town, answer T, err error) T {
	w.t.Helper()
	w.must(err)
	return answer
}

func (w *town) picture() picture {
	w.t.Helper()
	ctx := w.t.Context()
	city, err := w.City(ctx)
	p := picture{City: taken(w, city, err)}
	p.Districts, err = w.Districts(ctx)
	w.must(err)
	p.Sections, err = w.Sections(ctx)
	w.must(err)
	p.Streets, err = w.Streets(ctx)
	w.must(err)
	p.Depots, err = w.Depots(ctx)
	w.must(err)
	p.Dumps, err = w.Dumps(ctx)
	w.must(err)
	p.Crews, err = w.Crews(ctx)
	w.must(err)
	p.Overdue, err = w.OverdueByDistrict(ctx)
	w.must(err)
	p.Batches, err = w.ListBatches(ctx)
	w.must(err)
	p.LastRun, err = w.LastRun(ctx, "due")
	w.must(err)
	p.Packets, err = w.PacketList(ctx, w.day(-1000), w.day(1000), true)
	w.must(err)
	p.Departures, _, err = w.DeviationList(ctx, 0, 0, 1000)
	w.must(err)
	plans, err := w.PlanList(ctx, 0)
	w.must(err)
	for _, x := range plans {
		whole, err := w.Plan(ctx, x.ID)
		p.Plans = append(p.Plans, taken(w, whole, err))
	}
	trees, _, err := w.TreeList(ctx, scheduler.TreeFilter{}, 0, 1000)
	w.must(err)
	for _, x := range trees {
		p.Trees = append(p.Trees, w.treePicture(x))
	}
	return p
}

func (w *town) treePicture(listed scheduler.TreeSite) treePicture {
	w.t.Helper()
	ctx, id := w.t.Context(), listed.Tree.ID
	p := treePicture{Listed: listed, Seen: w.seen(id)}
	var err error
	p.Visits, err = w.VisitsOfTree(ctx, id, true)
	w.must(err)
	p.Records, err = w.RecordsOfTree(ctx, id)
	w.must(err)
	p.Measured, err = w.MeasurementsOfTree(ctx, id)
	w.must(err)
	return p
}

// seen looks at a tree through a record that the decision refuses.
func (w *town) seen(tree int64) scheduler.RecordInput {
	w.t.Helper()
	var seen scheduler.RecordInput
	look := w.recordOf(999_999, scheduler.Visit{TreeID: tree, Kinds: []scheduler.WorkKind{scheduler.Inspection}}, nil)
	_, err := w.Record(w.t.Context(), look, func(in scheduler.RecordInput) (scheduler.RecordOutcome, error) {
		seen = in
		return scheduler.RecordOutcome{}, scheduler.Errorf(scheduler.Infeasible, "a look only")
	}, w.stamp("looker"))
	w.wants(scheduler.Infeasible, err)
	return seen
}

// difference is empty when two pictures are equal.
func difference(before, after picture) string { return cmp.Diff(before, after) }

// same fails the test unless the store is as it was, but for its list of batches when told so.
func (w *town) same(what string, before picture, butBatches bool) {
	w.t.Helper()
	after := w.picture()
	if butBatches {
		before.Batches, after.Batches = nil, nil
	}
	if diff := difference(before, after); diff != "" {
		w.t.Errorf("%s (-before +after):\n%s", what, diff)
	}
}
