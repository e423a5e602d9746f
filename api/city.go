package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

type cityBody struct {
	Body scheduler.City
}

func (s *server) cityOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/city", "get-city", "The settings of the city",
		func(ctx context.Context, _ *struct{}) (*cityBody, error) {
			c, err := s.Store.City(ctx)
			return &cityBody{c}, err
		})
	handle(s, a, http.MethodPut, "/city", "put-city", "Change the settings of the city",
		func(ctx context.Context, in *cityBody) (*cityBody, error) {
			if err := s.Store.SetCity(ctx, in.Body, s.stamp(ctx)); err != nil {
				return nil, err
			}
			c, err := s.Store.City(ctx)
			return &cityBody{c}, err
		})
}
