package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// DeviationStore reads the log of departures from the policy.
type DeviationStore interface {
	DeviationList(ctx context.Context, since scheduler.Date, after int64, limit int) ([]scheduler.Deviation, int, error)
}

type deviationListInput struct {
	Paging
	Since string `query:"since" format:"date" doc:"Work from this day on"`
}

type deviationListOutput struct {
	Body list[scheduler.Deviation]
}

type deviationNewInput struct {
	Body struct {
		Rule       scheduler.DeviationRule `json:"rule" enum:"live_crown,closed_season,cut_size,cut_table,crown_base,growing_season,wire,other"`
		Why        string                  `json:"why" minLength:"1" maxLength:"2000"`
		ApprovedBy string                  `json:"approved_by" minLength:"1" maxLength:"200"`
		Tree       string                  `json:"tree,omitempty" doc:"The city's number of the tree"`
		On         string                  `json:"on,omitempty" format:"date" doc:"Day of the departure; today when absent"`
	}
}

type deviationOutput struct {
	Body scheduler.Deviation
}

func (s *server) deviationOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/deviations", "list-deviations", "Where work departed from the policy in force, with who approved it",
		func(ctx context.Context, in *deviationListInput) (*deviationListOutput, error) {
			since, err := dayOf("query.since", in.Since)
			if err != nil {
				return nil, err
			}
			l, matched, err := s.Store.DeviationList(ctx, since, in.After, in.Limit)
			if err != nil {
				return nil, err
			}
			return &deviationListOutput{pageOf(ctx, l, matched, in.Paging, func(d *scheduler.Deviation) int64 { return d.ID })}, nil
		})
	handle(s, a, http.MethodPost, "/deviations", "add-deviation", "Write a departure into the log that no work record shows", s.addDeviation, status(http.StatusCreated))
}

func (s *server) addDeviation(ctx context.Context, in *deviationNewInput) (*deviationOutput, error) {
	if who(ctx).role != scheduler.RoleManager {
		return nil, scheduler.Errorf(scheduler.Forbidden, "only a manager writes into the log of deviations")
	}
	on, err := dayOf("body.on", in.Body.On)
	if err != nil {
		return nil, err
	}
	d, err := s.Verbs.AddDeviation(ctx, jobs.DeviationRequest{
		Rule: in.Body.Rule, Why: in.Body.Why, ApprovedBy: in.Body.ApprovedBy, Tree: in.Body.Tree, On: on, Actor: s.stamp(ctx).Actor,
	})
	return &deviationOutput{d}, err
}
