package storetest

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// The same records of a tree end the same whatever way they come: in the order
// of the work, backwards, shuffled, and twice. Each order gets a tree of its own
// out of a row of equal ones, each set a packet of a crew's day.
func recordsInEveryOrder(t *testing.T, w *town) {
	sets := recordSets()
	n := 0
	for i := range sets {
		n += len(sets[i].orders())
	}
	w.row(n)
	w.due()
	byRef := map[string]scheduler.Visit{}
	for i := range n {
		byRef[rowRef(i)] = w.lead(rowRef(i))
	}
	tree, sent := 0, 0
	for i := range sets {
		s := &sets[i]
		orders := s.orders()
		var visits []int64
		for k := range orders {
			visits = append(visits, byRef[rowRef(tree+k)].ID)
		}
		packet := w.pack("t1", i, visits...)
		packet, err := w.SetPacketState(t.Context(), packet.ID, packet.Revision, scheduler.PacketIssued, w.stamp("dispatcher"))
		w.must(err)
		day := w.now
		w.days(12)
		var want *endState
		var refs []string
		for _, order := range orders {
			ref := rowRef(tree)
			refs = append(refs, ref)
			records := s.records(w, byRef[ref], packet.ID, tree)
			var list []scheduler.WorkRecord
			for _, at := range order {
				list = append(list, records[at])
			}
			tree++
			sent += len(list)
			out, err := jobs.Record{Store: w, Now: w.clock}.Run(t.Context(), jobs.RecordRequest{Records: list, Actor: "card"})
			w.must(err)
			if out.Taken != len(records) || out.Known != len(list)-len(records) {
				t.Fatalf("%s %v: taken %d, known %d, refused %d: %+v", s.name, order, out.Taken, out.Known, out.Refused, out.Answers)
			}
			got := w.end(ref, byRef[ref].ID, packet.ID)
			if want == nil {
				want = &got
			} else if diff := gocmp.Diff(*want, got); diff != "" {
				t.Errorf("%s in the order %v ends otherwise than in the order of the work: %s", s.name, order, diff)
			}
		}
		// What is on file for the nightly pass says the same as what the records' own passes were given.
		if night := w.due(refs...); night.Written.New+night.Written.Changed+night.Written.Withdrawn > 0 {
			t.Errorf("%s: the pass after it found %+v", s.name, night.Written)
		}
		w.now = day
	}
	t.Logf("%d records in %d orders of %d sets", sent, n, len(sets))
}

// endState is what must not depend on the order of arrival.
type endState struct {
	Tree     scheduler.Tree
	Measured []scheduler.Measurement
	Open     []scheduler.Visit
	Named    scheduler.Progress // of the visit that the records name
	Called   []string           // visits that records called for
	Stop     scheduler.StopState
}

func (w *town) end(ref string, visit, packet int64) endState {
	w.t.Helper()
	ctx := w.t.Context()
	t := w.treeNamed(ref)
	e := endState{Tree: t}
	e.Tree.ID, e.Tree.SiteID, e.Tree.Ref = 0, 0, ""
	for i := range e.Tree.Watch {
		x := &e.Tree.Watch[i]
		x.ID, x.TreeID, x.Letter, x.RecordID = 0, 0, "", ""
	}
	slices.SortFunc(e.Tree.Watch, func(a, b scheduler.WatchItem) int { return cmp.Compare(a.What, b.What) })
	var err error
	e.Measured, err = w.MeasurementsOfTree(ctx, t.ID)
	w.must(err)
	for i := range e.Measured {
		e.Measured[i].RecordID = ""
	}
	slices.SortFunc(e.Measured, func(a, b scheduler.Measurement) int { // those of one day come in the order of arrival
		return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.DBH, b.DBH), cmp.Compare(a.Height, b.Height), cmp.Compare(a.BaseRoad, b.BaseRoad))
	})
	visits, err := w.VisitsOfTree(ctx, t.ID, true)
	w.must(err)
	for _, v := range visits {
		if v.ID == visit {
			e.Named = v.Progress
		}
		called := v.Origin == scheduler.FromHazard || v.Origin == scheduler.FromRecord
		switch {
		case called && v.Progress == scheduler.Open:
			e.Called = append(e.Called, fmt.Sprintf("%s open %v", v.Kind, v.Window))
		case called: // two dangers that one record ended are one completed visit or two
			e.Called = append(e.Called, fmt.Sprintf("%s %s", v.Kind, v.Progress))
		}
		if v.Progress != scheduler.Open {
			continue
		}
		v.ID, v.TreeID, v.SiteID, v.Revision, v.AsOf = 0, 0, 0, 0, 0
		if !called { // these name watch items by their letters
			v.Objectives, v.Limits, v.Reasons, v.Cautions = nil, nil, nil, v.Cautions[:0]
		}
		e.Open = append(e.Open, v)
	}
	slices.SortFunc(e.Open, func(a, b scheduler.Visit) int { return cmp.Compare(a.Kind, b.Kind) })
	slices.Sort(e.Called)
	e.Called = slices.Compact(e.Called)
	p, err := w.Packet(ctx, packet)
	w.must(err)
	for _, s := range p.Stops {
		if s.VisitID == visit {
			e.Stop = s.State
		}
	}
	return e
}

// row plants n equal young trees along a block, beyond the sight triangle of its junction.
func (w *town) row(n int) {
	var trees, history []row
	for i := range n {
		trees = append(trees, tree(rowRef(i), "ACRU", 260+float64(i)*115/float64(n), 94, f{
			"planted": scheduler.NewDate(2018, 4, 1), "planted_precision": "year", "caliper_mm": geo.Length(45), "dbh_mm": geo.Length(96),
			"height_mm": geo.Length(5400), "measured_on": scheduler.NewDate(2025, 8, 1), "base_road_mm": geo.Length(1700), "base_walk_mm": geo.Length(1700), "stage": "leader",
		}))
		history = append(history, past(rowRef(i)+"-h", rowRef(i), "training", scheduler.NewDate(2022, 12, 8)))
	}
	w.load("trees", trees...)
	w.load("history", history...)
}

func rowRef(i int) string { return fmt.Sprintf("ROW-%03d", i) }

// orders are the ways in which the set arrives, by place in the order of the
// work: as the work went, backwards, then shuffled with half of the records
// twice. What every other record has to know stays first.
func (s *recordSet) orders() [][]int {
	n := len(s.make)
	first := make([]int, n)
	for i := range first {
		first[i] = i
	}
	back := slices.Clone(first)
	slices.Reverse(back[s.fixed:])
	out := [][]int{first, back}
	r := rand.New(rand.NewPCG(uint64(n), uint64(len(s.name))))
	for range s.shuffles {
		list := slices.Clone(first)
		for i := range n {
			if r.IntN(2) == 0 {
				list = append(list, i)
			}
		}
		free := list[s.fixed:]
		r.Shuffle(len(free), func(i, j int) { free[i], free[j] = free[j], free[i] })
		out = append(out, list)
	}
	return out
}
