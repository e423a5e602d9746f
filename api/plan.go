package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// PlanInput names one annual plan.
type PlanInput struct {
	ID int64 `path:"id" minimum:"1"`
}

type planOutput struct {
	ETag string `header:"ETag"`
	Body scheduler.Plan
}

type planListInput struct {
	Year int `query:"year" minimum:"0" maximum:"2200" doc:"Plans of this year; of every year when absent"`
}

type planListOutput struct {
	Body list[scheduler.Plan]
}

type planNewInput struct {
	Body struct {
		Year int `json:"year" required:"true" minimum:"2000" maximum:"2200"`
	}
}

type planAdoptInput struct {
	PlanInput
	IfMatch
}

func (s *server) planOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/plans", "list-plans", "Annual plans without their lines, newest first",
		func(ctx context.Context, in *planListInput) (*planListOutput, error) {
			plans, err := s.Store.PlanList(ctx, in.Year)
			return &planListOutput{whole(plans)}, err
		})
	handle(s, a, http.MethodPost, "/plans", "make-plan", "Make a draft annual plan as a job", s.makePlan, status(http.StatusAccepted))
	handle(s, a, http.MethodGet, "/plans/{id}", "get-plan", "One annual plan: a week or a reason for each visit",
		func(ctx context.Context, in *PlanInput) (*planOutput, error) {
			p, err := s.Store.Plan(ctx, in.ID)
			return &planOutput{etag(p.Revision), p}, err
		})
	handle(s, a, http.MethodPost, "/plans/{id}/adopt", "adopt-plan", "Make a draft the plan of its year",
		func(ctx context.Context, in *planAdoptInput) (*planOutput, error) {
			rev, err := in.revision()
			if err != nil {
				return nil, err
			}
			if err := s.Store.AdoptPlan(ctx, in.ID, rev, s.stamp(ctx)); err != nil {
				return nil, showNow(err, func() (scheduler.Plan, int, error) {
					p, err := s.Store.Plan(ctx, in.ID)
					p.Lines = nil // as in a list
					return p, p.Revision, err
				})
			}
			p, err := s.Store.Plan(ctx, in.ID)
			return &planOutput{etag(p.Revision), p}, err
		})
	handle(s, a, http.MethodPost, "/due-passes", "make-due-pass", "Renew the open visits of all trees as a job", s.makeDuePass, status(http.StatusAccepted))
}

func (s *server) makePlan(ctx context.Context, in *planNewInput) (*jobOutput, error) {
	city, err := s.Store.City(ctx)
	if err != nil {
		return nil, err
	}
	return s.queued(ctx, jobs.PlanArgs{Year: in.Body.Year, AsOf: s.today(city), Actor: who(ctx).actor})
}

type duePassInput struct {
	Body struct {
		AsOf scheduler.Date `json:"as_of,omitempty" doc:"Day to judge by; the city's today when absent"`
	}
}

func (s *server) makeDuePass(ctx context.Context, in *duePassInput) (*jobOutput, error) {
	on := in.Body.AsOf
	if on.IsZero() {
		city, err := s.Store.City(ctx)
		if err != nil {
			return nil, err
		}
		on = s.today(city)
	}
	return s.queued(ctx, jobs.DueArgs{AsOf: on, Actor: who(ctx).actor})
}

// whole is the body of a list that comes in one piece.
func whole[T any](items []T) list[T] {
	if items == nil {
		items = []T{}
	}
	return list[T]{Items: items, Matched: len(items), Returned: len(items)}
}
