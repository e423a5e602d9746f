package storetest

import (
	"context"
	"slices"
	"time"

	"limbround/scheduler"
)

// PlanInput returns the open visits that are due by the end of the year.
func (m *Memory) PlanInput(_ context.Context, year int) ([]scheduler.PlanItem, error) {
	s := m.read()
	var out []scheduler.PlanItem
	for _, v := range byID(s.visits, every) {
		if v.Progress != scheduler.Open || v.State == scheduler.NotOurs || v.Window.Due > scheduler.NewDate(year, time.December, 31) {
			continue
		}
		site, plain := s.siteOf(v.SiteID), v.Visit
		plain.Objectives, plain.Limits, plain.Cautions, plain.Reasons = nil, nil, nil, nil // a plan does not read them
		out = append(out, scheduler.PlanItem{
			Visit: plain, Species: s.trees[v.TreeID].Species, FaceID: site.FaceID, Section: site.Section, Class: site.StreetClass,
		})
	}
	sortBy(out, func(it *scheduler.PlanItem) []any { return []any{it.Visit.Class, it.Visit.ID} })
	return out, nil
}

// SavePlan stores a plan as the next version of its year, a draft.
func (m *Memory) SavePlan(ctx context.Context, p scheduler.Plan, by scheduler.Stamp) (scheduler.Plan, error) {
	err := m.write(ctx, func(s *state) error {
		p.ID, p.Version, p.Revision, p.State, p.Adopted, p.AdoptedBy = s.id(), 1, 1, scheduler.PlanDraft, 0, ""
		for _, o := range s.plans {
			if o.Year == p.Year {
				p.Version = max(p.Version, o.Version+1)
			}
		}
		p.Lines = slices.Clone(p.Lines)
		s.plans[p.ID] = p
		return signed(by)
	})
	return p, err
}

// Plan reads a plan with its lines, planned weeks first.
func (m *Memory) Plan(_ context.Context, id int64) (scheduler.Plan, error) {
	p, ok := m.read().plans[id]
	if !ok {
		return p, scheduler.Errorf(scheduler.NotFound, "plan %d: there is none", id)
	}
	p.Lines = slices.Clone(p.Lines)
	sortBy(p.Lines, func(l *scheduler.PlanLine) []any { return []any{l.Week, l.VisitID} })
	return p, nil
}

// PlanList returns the plans of a year, or of every year for 0, without their lines.
func (m *Memory) PlanList(_ context.Context, year int) ([]scheduler.Plan, error) {
	list := byID(m.read().plans, func(p *scheduler.Plan) bool { return year == 0 || p.Year == year })
	for i := range list {
		list[i].Lines = nil
	}
	sortBy(list, func(p *scheduler.Plan) []any { return []any{p.Year, p.Version} })
	return list, nil
}

// PlanInForce returns the adopted plan of a year, else the newest draft.
func (m *Memory) PlanInForce(ctx context.Context, year int) (scheduler.Plan, error) {
	list := byID(m.read().plans, func(p *scheduler.Plan) bool { return p.Year == year && p.State != scheduler.PlanSuperseded })
	if len(list) == 0 {
		return scheduler.Plan{}, scheduler.Errorf(scheduler.NotFound, "plan of %d: there is none", year)
	}
	sortBy(list, func(p *scheduler.Plan) []any { return []any{p.State != scheduler.PlanAdopted, -p.Version} })
	return m.Plan(ctx, list[0].ID)
}

// AdoptPlan makes a draft the plan of its year.
func (m *Memory) AdoptPlan(ctx context.Context, id int64, revision int, by scheduler.Stamp) error {
	return m.write(ctx, func(s *state) error {
		p, ok := s.plans[id]
		switch {
		case !ok:
			return scheduler.Errorf(scheduler.NotFound, "plan %d: there is none", id)
		case p.Revision != revision:
			return scheduler.Errorf(scheduler.Stale, "plan %d was changed since you read it", id)
		case p.State != scheduler.PlanDraft:
			return scheduler.Errorf(scheduler.Clash, "plan %d is %s: only a draft is adopted", id, p.State)
		}
		for _, o := range s.plans {
			if o.Year == p.Year && o.State == scheduler.PlanAdopted {
				o.State = scheduler.PlanSuperseded
				o.Revision++
				s.plans[o.ID] = o
			}
		}
		p.State, p.Adopted, p.AdoptedBy = scheduler.PlanAdopted, s.dayOf(by.At), by.Actor
		p.Revision++
		s.plans[id] = p
		return signed(by)
	})
}
