package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

type treeListInput struct {
	Paging
	District string `query:"district" doc:"District reference"`
	Section  string `query:"section" doc:"Section reference"`
	Species  string `query:"species" doc:"Species code"`
	State    string `query:"state" enum:"alive,dead,stump,removed,vacant"`
	Stage    string `query:"stage" enum:"not_assessed,establishing,leader,temporaries,raising,rotation"`
	Text     string `query:"q" doc:"Beginning of the tag, or part of the address"`
}

type treeListOutput struct {
	Body list[scheduler.TreeSite]
}

// TreeInput names one tree, or one visit, by its id.
type TreeInput struct {
	ID int64 `path:"id" minimum:"1"`
}

// treePage is one tree with its open visits.
type treePage struct {
	scheduler.TreeSite
	Visits []scheduler.Visit `json:"visits"`
}

type treeOutput struct {
	Body treePage
}

type calendarInput struct {
	TreeInput
	Years int `query:"years" minimum:"1" maximum:"60" default:"20"`
}

type visitsBody struct {
	Body struct {
		Visits []scheduler.Visit `json:"visits"`
	}
}

type historyOutput struct {
	Body struct {
		Records      []scheduler.WorkEntry   `json:"records"`
		Measurements []scheduler.Measurement `json:"measurements"`
	}
}

func (s *server) treeOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/trees", "list-trees", "Trees with the facts of their sites", s.listTrees)
	handle(s, a, http.MethodGet, "/trees/{id}", "get-tree", "One tree with its watch items and open visits", s.getTree)
	handle(s, a, http.MethodGet, "/trees/{id}/calendar", "get-tree-calendar", "The trips that the rules foresee for one tree, each with its reasons",
		func(ctx context.Context, in *calendarInput) (*visitsBody, error) {
			trips, err := s.Verbs.Calendar(ctx, in.ID, in.Years)
			out := &visitsBody{}
			out.Body.Visits = trips
			return out, err
		})
	handle(s, a, http.MethodGet, "/trees/{id}/history", "get-tree-history", "Work records and measurements of one tree, newest first", s.getHistory)
}

func (s *server) listTrees(ctx context.Context, in *treeListInput) (*treeListOutput, error) {
	f := scheduler.TreeFilter{
		District: in.District, Section: in.Section, Species: in.Species,
		State: scheduler.TreeState(in.State), Stage: scheduler.Stage(in.Stage), Text: in.Text,
	}
	trees, matched, err := s.Store.TreeList(ctx, f, in.After, in.Limit)
	if err != nil {
		return nil, err
	}
	return &treeListOutput{pageOf(ctx, trees, matched, in.Paging, func(t *scheduler.TreeSite) int64 { return t.Tree.ID })}, nil
}

func (s *server) getTree(ctx context.Context, in *TreeInput) (*treeOutput, error) {
	t, err := s.Store.Tree(ctx, in.ID)
	if err != nil {
		return nil, err
	}
	visits, err := s.Store.VisitsOfTree(ctx, in.ID, false)
	return &treeOutput{treePage{t, visits}}, err
}

func (s *server) getHistory(ctx context.Context, in *TreeInput) (*historyOutput, error) {
	if _, err := s.Store.Tree(ctx, in.ID); err != nil {
		return nil, err
	}
	out := &historyOutput{}
	var err error
	if out.Body.Records, err = s.Store.RecordsOfTree(ctx, in.ID); err != nil {
		return nil, err
	}
	out.Body.Measurements, err = s.Store.MeasurementsOfTree(ctx, in.ID)
	return out, err
}
