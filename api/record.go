package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

type recordInput struct {
	Body scheduler.WorkRecord
}

type recordOutput struct {
	Status int
	Body   scheduler.RecordAnswer
}

func (s *server) recordOperations(a huma.API) {
	handle(s, a, http.MethodPost, "/records", "add-record",
		"Take one work record; sent again it gets the same answer. Answers with the tree's next visits.",
		func(ctx context.Context, in *recordInput) (*recordOutput, error) {
			ans, err := s.Verbs.Record(ctx, in.Body, s.stamp(ctx))
			out := &recordOutput{http.StatusCreated, ans}
			if ans.Replayed {
				out.Status = http.StatusOK
			}
			return out, err
		}, status(http.StatusCreated))
}
