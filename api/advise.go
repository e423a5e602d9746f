package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler/jobs"
)

type adviseInput struct {
	Body jobs.AdviseRequest
}

type adviseOutput struct {
	Body jobs.AdviseResult
}

type watchAdviseInput struct {
	TreeInput
	Letter string `path:"letter" pattern:"^[A-Z]{1,2}$" doc:"Letter of an open watch item"`
	On     string `query:"on" format:"date" doc:"Day of the cut; today when absent"`
}

func (s *server) adviseOperations(a huma.API) {
	handle(s, a, http.MethodPost, "/advise", "advise", "What to do with one branch: keep, reduce, remove, remove in two steps, hold or stop. Nothing is written.",
		func(ctx context.Context, in *adviseInput) (*adviseOutput, error) {
			res, err := s.Verbs.Advise(ctx, in.Body)
			return &adviseOutput{res}, err
		}, readsOnly)
	handle(s, a, http.MethodGet, "/trees/{id}/watch/{letter}/advise", "advise-watch-item", "What to do with the branch of one watch item", s.adviseWatch)
}

func (s *server) adviseWatch(ctx context.Context, in *watchAdviseInput) (*adviseOutput, error) {
	on, err := dayOf("query.on", in.On)
	if err != nil {
		return nil, err
	}
	t, err := s.Store.Tree(ctx, in.ID)
	if err != nil {
		return nil, err
	}
	q := jobs.AdviseRequest{Tree: t.Tree.Ref, Letter: in.Letter}
	q.Branch.On = on
	res, err := s.Verbs.Advise(ctx, q)
	return &adviseOutput{res}, err
}
