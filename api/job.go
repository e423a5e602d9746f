package api

import (
	"context"
	"net/http"
	"strconv"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

type jobInput struct {
	ID int64 `path:"id" minimum:"1"`
}

type jobOutput struct {
	Location string `header:"Location" doc:"Where to ask what became of the job"`
	Body     scheduler.JobStatus
}

func (s *server) jobOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/jobs/{id}", "get-job", "What became of a queued job",
		func(ctx context.Context, in *jobInput) (*jobOutput, error) {
			st, err := s.Store.JobStatus(ctx, in.ID)
			return &jobOutput{Body: st}, err
		})
}

// queued puts a job in the queue and answers with where to follow it.
func (s *server) queued(ctx context.Context, args scheduler.JobArgs) (*jobOutput, error) {
	id, err := s.Store.Enqueue(ctx, args)
	if err != nil {
		return nil, err
	}
	st, err := s.Store.JobStatus(ctx, id)
	return &jobOutput{Location: "/api/v1/jobs/" + strconv.FormatInt(id, 10), Body: st}, err
}
