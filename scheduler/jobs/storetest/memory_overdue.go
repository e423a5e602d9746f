package storetest

import (
	"context"
	"slices"
	"time"

	"limbround/scheduler"
)

// OverdueByDistrict counts by district as of the last pass over the whole city.
func (m *Memory) OverdueByDistrict(context.Context) (scheduler.OverdueTable, error) {
	return m.read().overdue(), nil
}

// night is a table as it was kept.
type night struct {
	table  scheduler.OverdueTable
	madeAt time.Time
}

// OverdueOn returns the table as it was on a past night.
func (m *Memory) OverdueOn(_ context.Context, on scheduler.Date) (scheduler.OverdueTable, error) {
	n, there := m.read().nights[on]
	if !there {
		return n.table, scheduler.Errorf(scheduler.NotFound, "no overdue table was kept of the night of %s", on)
	}
	return n.table, nil
}

// OverdueNights lists the nights of which a table was kept, newest first.
func (m *Memory) OverdueNights(context.Context) ([]scheduler.OverdueNight, error) {
	var out []scheduler.OverdueNight
	for on, n := range m.read().nights {
		out = append(out, scheduler.OverdueNight{
			Night: on, PolicyID: n.table.PolicyID, MadeAt: n.madeAt, Trees: n.table.Total.Trees, Late: n.table.Total.Late,
		})
	}
	sortBy(out, func(n *scheduler.OverdueNight) []any { return []any{-int(n.Night)} })
	return out, nil
}

func (s *state) overdue() scheduler.OverdueTable {
	last := s.lastDue()
	t := scheduler.OverdueTable{AsOf: last.AsOf, PolicyID: last.PolicyID}
	for _, d := range s.areas("districts") {
		t.Rows = append(t.Rows, s.overdueIn(d.Ref, d.Name, d.Version))
	}
	if slices.ContainsFunc(byID(s.trees, every), func(r treeRow) bool { return s.siteOf(r.SiteID).District == "" }) {
		t.Rows = append(t.Rows, s.overdueIn("", "outside every district", 0))
	}
	t.Sum()
	return t
}

func (s *state) overdueIn(district, name string, version int) scheduler.OverdueRow {
	r := scheduler.OverdueRow{District: district, Name: name, Version: version, Visits: map[scheduler.VisitState]int{}, ByKind: map[scheduler.WorkKind]int{}}
	minutes := 0
	for _, t := range s.trees {
		if s.siteOf(t.SiteID).District != district {
			continue
		}
		if upright(t.State) {
			r.Trees++
		}
		late := 0
		for _, v := range s.visitsOf(t.ID, false) {
			r.Visits[v.State]++
			if v.State != scheduler.Overdue && v.State != scheduler.OverdueClosed {
				continue
			}
			late++
			r.ByKind[v.Kind]++
			minutes += v.Minutes
			if l := v.Window.Latest; !l.IsZero() && (r.Oldest.IsZero() || l < r.Oldest) {
				r.Oldest = l
			}
		}
		r.Late += min(1, late)
	}
	r.CrewHours = float64(minutes) / 60
	if r.Trees > 0 {
		r.Share = float64(r.Late) / float64(r.Trees)
	}
	return r
}
