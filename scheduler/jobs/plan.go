package jobs

import (
	"context"
	"fmt"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/year"
)

// PlanStore keeps the open visits, the crews and the annual plans.
type PlanStore interface {
	RuleStore
	Crews(ctx context.Context) ([]scheduler.Crew, error)
	PlanInput(ctx context.Context, year int) ([]scheduler.PlanItem, error)
	SavePlan(ctx context.Context, p scheduler.Plan, by scheduler.Stamp) (scheduler.Plan, error)
}

// Plan makes the annual plan of a year from the visits due by its end.
type Plan struct {
	Store    PlanStore
	Now      func() time.Time
	Progress Tell // the step it is at; may be nil
}

// PlanRequest names the year.
type PlanRequest struct {
	Year  int
	AsOf  scheduler.Date // zero for today in the city
	Actor string
}

// PlanResult is the stored draft in figures.
type PlanResult struct {
	Plan      int64          `json:"plan"`
	Year      int            `json:"year"`
	Version   int            `json:"version"`
	Planned   int            `json:"planned"`
	Carried   int            `json:"carried_over"`
	Reasons   map[string]int `json:"carried_over_by_reason"` // by the gist of the reason
	Hours     float64        `json:"hours"`
	Available float64        `json:"available_hours"`
	Objective []int64        `json:"objective"` // weighted lateness by class
	Bound     []int64        `json:"bound"`
	GapPct    []float64      `json:"gap_pct"` // by class; 0 where the plan is proven best
	Seconds   float64        `json:"seconds"`
}

// Run makes and stores a draft. Every visit that is due ends with a week or with the
// reason for which it is carried over; a plan that loses one is refused.
func (p Plan) Run(ctx context.Context, q PlanRequest) (PlanResult, error) {
	began := p.Now()
	var out PlanResult
	if q.Year < 1900 || q.Year > 2200 {
		return out, scheduler.Errorf(scheduler.Invalid, "year %d: want 1900 to 2200", q.Year)
	}
	r, err := loadRules(ctx, p.Store, began, q.AsOf)
	if err != nil {
		return out, err
	}
	p.Progress.say(0, 3, "reads visits and crews")
	items, err := p.Store.PlanInput(ctx, q.Year)
	if err != nil {
		return out, err
	}
	crews, err := p.Store.Crews(ctx)
	if err != nil {
		return out, err
	}
	p.Progress.say(1, 3, fmt.Sprintf("gives %d visits a week", len(items)))
	plan, err := year.Build(year.Request{
		Year: q.Year, Today: r.today, Items: r.planItems(items, q.Year), Crews: crews, Work: r.policy.Work, PolicyID: r.policy.ID,
	})
	if err != nil {
		return out, err
	}
	if err := nothingLost(items, plan.Lines); err != nil {
		return out, err
	}
	p.Progress.say(2, 3, "stores the plan")
	if plan, err = p.Store.SavePlan(ctx, plan, scheduler.Stamp{Actor: q.Actor, At: began}); err != nil {
		return out, err
	}
	out = summary(&plan)
	out.Seconds = p.Now().Sub(began).Seconds()
	return out, nil
}

// planItems adds to each visit the days of the year that are closed to it.
func (r *rules) planItems(items []scheduler.PlanItem, y int) []year.Item {
	spans := make(map[string][]year.Span)
	first, last := scheduler.NewDate(y-1, time.December, 25), scheduler.NewDate(y+1, time.January, 7)
	out := make([]year.Item, len(items))
	for i := range items {
		it := &items[i]
		group := r.species[it.Species].ClosedGroup
		key := fmt.Sprint(group, it.Visit.Kinds)
		closed, ok := spans[key]
		if !ok {
			closed = closedSpans(&r.policy.Seasons, group, it.Visit.Kinds, first, last)
			spans[key] = closed
		}
		out[i] = year.Item{Visit: it.Visit, FaceID: it.FaceID, Section: it.Section, Class: it.Class, Closed: closed}
	}
	return out
}

// closedSpans are the runs of closed days between two days, both included.
func closedSpans(s *scheduler.SeasonRules, group string, kinds []scheduler.WorkKind, from, to scheduler.Date) []year.Span {
	var out []year.Span
	for d := from; d <= to; d++ {
		if !s.ClosedOn(group, kinds, d) {
			continue
		}
		if n := len(out); n > 0 && out[n-1].To == d-1 {
			out[n-1].To = d
		} else {
			out = append(out, year.Span{From: d, To: d})
		}
	}
	return out
}

// nothingLost holds a plan against the visits it was made from.
func nothingLost(items []scheduler.PlanItem, lines []scheduler.PlanLine) error {
	lacking := make(map[int64]bool, len(items))
	for i := range items {
		lacking[items[i].Visit.ID] = true
	}
	for i := range lines {
		l := &lines[i]
		if !lacking[l.VisitID] {
			return scheduler.Errorf(scheduler.Internal, "annual plan: visit %d has two lines, or none was asked for", l.VisitID)
		}
		if l.Week.IsZero() == (l.Carried == "") {
			return scheduler.Errorf(scheduler.Internal, "annual plan: visit %d needs a week or a reason, not both", l.VisitID)
		}
		delete(lacking, l.VisitID)
	}
	for id := range lacking {
		return scheduler.Errorf(scheduler.Internal, "annual plan: visit %d and %d others were lost", id, len(lacking)-1)
	}
	return nil
}

func summary(p *scheduler.Plan) PlanResult {
	out := PlanResult{
		Plan: p.ID, Year: p.Year, Version: p.Version, Reasons: map[string]int{}, Hours: p.Hours, Available: p.Available,
		Objective: p.Objective, Bound: p.Bound, GapPct: make([]float64, len(p.Objective)),
	}
	for i := range p.Lines {
		if why := p.Lines[i].Carried; why != "" {
			out.Carried++
			out.Reasons[scheduler.Gist(why)]++
		} else {
			out.Planned++
		}
	}
	for i, cost := range p.Objective {
		if i < len(p.Bound) && cost > 0 {
			out.GapPct[i] = 100 * float64(cost-p.Bound[i]) / float64(cost)
		}
	}
	return out
}
