package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

type visitListInput struct {
	Paging
	State    string `query:"state" enum:"not_assessed,upcoming,due,overdue_workable,overdue_closed,held,not_ours"`
	Kind     string `query:"kind" doc:"Lead kind of work, for example training"`
	District string `query:"district" doc:"District reference"`
	Before   string `query:"latest_before" format:"date" doc:"Visits whose window ends before this day"`
	Class    int    `query:"up_to_class" minimum:"0" maximum:"4" default:"4" doc:"Classes 0 to this one"`
}

type visitListOutput struct {
	Body list[scheduler.Visit]
}

type overdueInput struct {
	By    string `query:"by" enum:"district" default:"district"`
	Night string `query:"night" format:"date" doc:"The table as it was on this past night; as of the last due pass when absent"`
}

type overdueOutput struct {
	Body scheduler.OverdueTable
}

func (s *server) visitOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/visits", "list-visits", "Open visits with windows, states and reasons", s.listVisits)
	handle(s, a, http.MethodGet, "/visits/{id}", "get-visit", "One visit, whatever became of it",
		func(ctx context.Context, in *TreeInput) (*struct{ Body scheduler.Visit }, error) {
			v, err := s.Store.Visit(ctx, in.ID)
			return &struct{ Body scheduler.Visit }{v}, err
		})
	handle(s, a, http.MethodGet, "/overdue", "get-overdue", "Overdue trees by district, with a row for trees outside every district",
		func(ctx context.Context, in *overdueInput) (*overdueOutput, error) {
			night, err := dayOf("query.night", in.Night)
			if err != nil {
				return nil, err
			}
			t, err := s.Verbs.Overdue(ctx, night)
			return &overdueOutput{t}, err
		})
	handle(s, a, http.MethodGet, "/overdue/nights", "list-overdue-nights", "The past nights of which an overdue table was kept",
		func(ctx context.Context, _ *struct{}) (*struct{ Body list[scheduler.OverdueNight] }, error) {
			nights, err := s.Store.OverdueNights(ctx)
			return &struct{ Body list[scheduler.OverdueNight] }{whole(nights)}, err
		})
}

func (s *server) listVisits(ctx context.Context, in *visitListInput) (*visitListOutput, error) {
	before, err := dayOf("query.latest_before", in.Before)
	if err != nil {
		return nil, err
	}
	f := scheduler.VisitFilter{
		State: scheduler.VisitState(in.State), Kind: scheduler.WorkKind(in.Kind), District: in.District,
		LateBefore: before, UpToClass: &in.Class,
	}
	visits, matched, err := s.Store.VisitList(ctx, f, in.After, in.Limit)
	if err != nil {
		return nil, err
	}
	return &visitListOutput{pageOf(ctx, visits, matched, in.Paging, func(v *scheduler.Visit) int64 { return v.ID })}, nil
}
