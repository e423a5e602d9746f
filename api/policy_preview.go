package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

type policyPreviewOutput struct {
	Body scheduler.PolicyPreview
}

func (s *server) previewOperations(a huma.API) {
	handle(s, a, http.MethodPost, "/policies/preview", "preview-policy", "Say what adopting a policy file (YAML) would move, and adopt nothing",
		func(ctx context.Context, in *policyNewInput) (*policyPreviewOutput, error) {
			p, err := s.policyOf(ctx, in)
			if err != nil {
				return nil, err
			}
			res, err := s.Verbs.PreviewPolicy(ctx, p)
			return &policyPreviewOutput{res}, err
		})
}
