package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

type riskInput struct {
	Failure     string `query:"failure" required:"true" doc:"Likelihood of failure: improbable, possible, probable, imminent"`
	Impact      string `query:"impact" required:"true" doc:"Likelihood of impact: very low, low, medium, high"`
	Consequence string `query:"consequence" required:"true" doc:"negligible, minor, significant, severe"`
	Years       int    `query:"years" required:"true" doc:"Time frame of the rating, 1 to 10"`
}

type riskOutput struct {
	Body scheduler.RiskAnswer
}

func (s *server) riskOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/risk", "get-risk", "Read the two published risk matrices for one defect and one target",
		func(_ context.Context, in *riskInput) (*riskOutput, error) {
			res, err := scheduler.Risk(in.Failure, in.Impact, in.Consequence, in.Years)
			return &riskOutput{res}, err
		})
}
