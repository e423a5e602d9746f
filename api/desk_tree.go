package api

import (
	"net/http"

	"limbround/scheduler"
)

type treeView struct {
	Tree     scheduler.Tree
	Site     scheduler.Site
	Species  scheduler.Species
	Open     []scheduler.Visit
	Calendar []scheduler.Visit
	History  []historyRow
}

type historyRow struct {
	On        scheduler.Date
	Work      string
	Outcome   scheduler.Outcome
	CouldNot  scheduler.CouldNot
	By        string
	LiveCrown int
	Note      string
}

func (s *server) treePage(w http.ResponseWriter, r *http.Request) error {
	v, err := s.treeView(r)
	if err != nil {
		return err
	}
	return s.page(w, r, "tree", view{Desk: "map", Title: v.Tree.Ref, Body: v})
}

func (s *server) treeView(r *http.Request) (treeView, error) {
	var v treeView
	ctx := r.Context()
	id, err := pathID(r, "id")
	if err != nil {
		return v, err
	}
	t, err := s.Store.Tree(ctx, id)
	if err != nil {
		return v, err
	}
	v.Tree, v.Site = t.Tree, t.Site
	species, err := s.speciesByCode(r)
	if err != nil {
		return v, err
	}
	v.Species = species[t.Tree.Species]
	if v.Open, err = s.Store.VisitsOfTree(ctx, id, false); err != nil {
		return v, err
	}
	if v.Calendar, err = s.Verbs.Calendar(ctx, id, 20); err != nil {
		return v, err
	}
	records, err := s.Store.RecordsOfTree(ctx, id)
	for i := range records {
		rec := &records[i].Record
		v.History = append(v.History, historyRow{
			On: records[i].DoneOn, Work: kindsText(rec.Kinds), Outcome: rec.Outcome, CouldNot: rec.CouldNot, By: rec.By, LiveCrown: rec.LiveCrown, Note: rec.Note,
		})
	}
	return v, err
}
