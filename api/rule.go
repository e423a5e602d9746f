package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type policyOutput struct {
	Body scheduler.Policy
}

type policyListOutput struct {
	Body list[scheduler.Policy]
}

type policyNewInput struct {
	RawBody []byte `contentType:"application/yaml"`
}

type growthInput struct {
	Region  string  `query:"region" required:"true" doc:"Climate region of the growth curves, for example LoMidW"`
	Species string  `query:"species" required:"true" doc:"Code, scientific or common name"`
	Age     float64 `query:"age" minimum:"0" doc:"Years since planting"`
	DBH     float64 `query:"dbh" minimum:"0" doc:"Diameter at breast height in centimetres, instead of the age"`
	Years   float64 `query:"years" minimum:"0" maximum:"200" doc:"Project this many years on from the age or the diameter"`
}

type growthOutput struct {
	Body jobs.GrowthResult
}

type speciesListOutput struct {
	Body list[scheduler.Species]
}

func (s *server) ruleOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/policies", "list-policies", "All versions of the rules, the latest in effect first",
		func(ctx context.Context, _ *struct{}) (*policyListOutput, error) {
			l, err := s.Store.ListPolicies(ctx)
			return &policyListOutput{whole(l)}, err
		})
	handle(s, a, http.MethodPost, "/policies", "adopt-policy", "Adopt a policy file (YAML) as a new version", s.adoptPolicy, status(http.StatusCreated))
	handle(s, a, http.MethodGet, "/policies/current", "get-policy", "The rules in force today", s.currentPolicy)
	handle(s, a, http.MethodGet, "/species", "list-species", "Species with the traits that the rules use",
		func(ctx context.Context, _ *struct{}) (*speciesListOutput, error) {
			l, err := s.Store.Species(ctx)
			return &speciesListOutput{whole(l)}, err
		})
	handle(s, a, http.MethodGet, "/growth", "get-growth", "Project one tree by the curves in use here, with the band that holds 8 trees in 10",
		func(ctx context.Context, in *growthInput) (*growthOutput, error) {
			res, err := s.Verbs.Growth(ctx, jobs.GrowthRequest{Region: in.Region, Species: in.Species, Age: in.Age, DBH: in.DBH, Years: in.Years})
			return &growthOutput{res}, err
		})
}

func (s *server) currentPolicy(ctx context.Context, _ *struct{}) (*policyOutput, error) {
	city, err := s.Store.City(ctx)
	if err != nil {
		return nil, err
	}
	p, err := s.Store.CurrentPolicy(ctx, s.today(city))
	return &policyOutput{p}, err
}

func (s *server) adoptPolicy(ctx context.Context, in *policyNewInput) (*policyOutput, error) {
	if who(ctx).role != scheduler.RoleManager {
		return nil, scheduler.Errorf(scheduler.Forbidden, "only a manager adopts a policy")
	}
	p, err := s.policyOf(ctx, in)
	if err != nil {
		return nil, err
	}
	p.ID, err = s.Store.AddPolicy(ctx, in.RawBody, p, s.stamp(ctx))
	return &policyOutput{p}, err
}

// policyOf reads a policy's text against the species of the city.
func (s *server) policyOf(ctx context.Context, in *policyNewInput) (scheduler.Policy, error) {
	species, err := s.Store.Species(ctx)
	if err != nil {
		return scheduler.Policy{}, err
	}
	return jobs.ReadPolicy(in.RawBody, species)
}
