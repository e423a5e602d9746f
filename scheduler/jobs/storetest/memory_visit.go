package storetest

import (
	"context"
	"slices"

	"limbround/scheduler"
)

// visitRow is a visit with the digest of what the rules last said.
type visitRow struct {
	scheduler.Visit
	digest int64
}

// Visit reads one visit, whatever became of it.
func (m *Memory) Visit(_ context.Context, id int64) (scheduler.Visit, error) {
	v, ok := m.read().visits[id]
	if !ok {
		return v.Visit, scheduler.Errorf(scheduler.NotFound, "visit %d: there is none", id)
	}
	return v.Visit, nil
}

// VisitsOfTree returns a tree's open visits, most urgent first, then with all
// set the completed and withdrawn ones.
func (m *Memory) VisitsOfTree(_ context.Context, tree int64, all bool) ([]scheduler.Visit, error) {
	return m.read().visitsOf(tree, all), nil
}

func (s *state) visitsOf(tree int64, all bool) []scheduler.Visit {
	order := []scheduler.Progress{scheduler.Open, scheduler.Completed, scheduler.Withdrawn}
	var out []scheduler.Visit
	for _, v := range s.visits {
		if v.TreeID == tree && (all || v.Progress == scheduler.Open) {
			out = append(out, v.Visit)
		}
	}
	sortBy(out, func(v *scheduler.Visit) []any {
		return []any{slices.Index(order, v.Progress), v.Class, v.Window.Due, v.ID}
	})
	return out
}

// openOf is what a comparison with the rules has to know of a tree's visits.
func (s *state) openOf(tree int64) []scheduler.OpenVisit {
	var out []scheduler.OpenVisit
	for _, v := range byID(s.visits, func(v *visitRow) bool { return v.TreeID == tree && v.Progress == scheduler.Open }) {
		out = append(out, scheduler.OpenVisit{ID: v.ID, Kind: v.Kind, Digest: v.digest, Origin: v.Origin, Live: s.liveStop(v.ID) != nil})
	}
	return out
}

// merge makes a tree's open visits what the rules want now. A visit that came
// into a live packet meanwhile is not withdrawn.
func (s *state) merge(tree int64, changes []scheduler.VisitChange, asOf scheduler.Date, w *scheduler.DueWritten) {
	for _, c := range changes {
		row, there := s.visits[c.ID]
		switch c.Op {
		case scheduler.VisitNew:
			if slices.ContainsFunc(s.openOf(tree), func(o scheduler.OpenVisit) bool { return o.Kind == c.Visit.Kind }) {
				continue
			}
			w.New++
			row = visitRow{*c.Visit, c.Digest}
			row.ID, row.TreeID, row.Progress = s.id(), tree, scheduler.Open
		case scheduler.VisitChanged:
			if !there || row.Progress != scheduler.Open {
				continue
			}
			w.Changed++
			was := row.Visit
			row = visitRow{*c.Visit, c.Digest}
			row.ID, row.TreeID, row.SiteID, row.Kind, row.Progress, row.Revision = was.ID, was.TreeID, was.SiteID, was.Kind, was.Progress, was.Revision
		case scheduler.VisitWithdrawn:
			if !there || row.Progress != scheduler.Open || s.liveStop(row.ID) != nil {
				continue
			}
			w.Withdrawn++
			row.Progress = scheduler.Withdrawn
		}
		row.AsOf = asOf
		row.Revision++
		s.visits[row.ID] = row
	}
}
