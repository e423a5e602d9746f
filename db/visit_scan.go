package db

import (
	"encoding/json"
	"fmt"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// visitDetail is the column visit.detail: what is read together and never searched.
type visitDetail struct {
	Objectives []string           `json:"objectives"`
	Limits     []string           `json:"limits"`
	Cautions   []string           `json:"cautions"`
	Reasons    []scheduler.Reason `json:"reasons"`
}

func detailOf(v *scheduler.Visit) ([]byte, error) {
	b, err := json.Marshal(visitDetail{v.Objectives, v.Limits, v.Cautions, v.Reasons})
	if err != nil {
		return nil, fmt.Errorf("encode visit detail: %w", err)
	}
	return b, nil
}

// visitFact takes one row of the view visit_fact.
type visitFact struct {
	visit  scheduler.Visit
	detail []byte
	digest int64
}

// fields are the scan targets for SELECT v.* FROM visit_fact v.
func (f *visitFact) fields() []any {
	v := &f.visit
	return []any{
		&v.ID, &v.TreeID, &v.SiteID, &v.Kind, &v.Kinds, &v.Window.Earliest, &v.Window.Due, &v.Window.Latest, &v.Season,
		&v.State, &v.Progress, &v.ClosedTo, &v.Hold, &v.HoldUntil, &v.Class, &v.Score, &v.Skill, &v.Minutes, &v.ChipsL,
		&v.Dose, &f.detail, &v.Origin, &v.PolicyID, &v.AsOf, &f.digest, &v.Revision,
	}
}

// whole returns the visit with its detail once a row is scanned.
func (f *visitFact) whole() (scheduler.Visit, error) {
	var det visitDetail
	if err := json.Unmarshal(f.detail, &det); err != nil {
		return f.visit, fmt.Errorf("decode detail of visit %d: %w", f.visit.ID, err)
	}
	f.visit.Objectives, f.visit.Limits, f.visit.Cautions, f.visit.Reasons = det.Objectives, det.Limits, det.Cautions, det.Reasons
	return f.visit, nil
}

func scanVisit(row pgx.CollectableRow) (scheduler.Visit, error) {
	var f visitFact
	if err := row.Scan(f.fields()...); err != nil {
		return scheduler.Visit{}, err
	}
	return f.whole()
}
