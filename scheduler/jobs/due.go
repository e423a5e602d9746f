package jobs

import (
	"context"
	"time"

	"limbround/scheduler"
)

// DueStore keeps trees and visits.
type DueStore interface {
	RuleStore
	// DuePass makes the open visits of every tree, or the given ones, what
	// decide answers. It MUST be one transaction, and write no row whose content stays the same.
	// A day older than that of the newest pass over the whole city MUST be Stale; a pass
	// for a day to come counts as of the day on which it was made.
	DuePass(ctx context.Context, asOf scheduler.Date, only []int64, decide func(*scheduler.DueInput) []scheduler.Visit,
		policy int64, by scheduler.Stamp, tell scheduler.DueProgress) (scheduler.DueStats, error)
	TreeByRef(ctx context.Context, ref string) (scheduler.TreeSite, error)
	VisitsOfTree(ctx context.Context, tree int64, all bool) ([]scheduler.Visit, error)
}

// Due runs the rules over the trees: each ends with the open visits it should
// have, with their windows and reasons.
type Due struct {
	Store    DueStore
	Now      func() time.Time
	Progress scheduler.DueProgress // trees done so far; may be nil
}

// DueRequest says for which day, and for which trees.
type DueRequest struct {
	AsOf    scheduler.Date // zero for today in the city
	Trees   []string       // the city's numbers; empty for every tree
	Explain bool           // answer the visits of Trees with their reasons
	Actor   string
}

// DueResult is what the pass counted.
type DueResult struct {
	scheduler.DueStats
	Policy   string          `json:"policy"`
	Seconds  float64         `json:"seconds"`
	Explains []ExplainedTree `json:"explained,omitempty"`
}

// ExplainedTree is one tree with its open visits.
type ExplainedTree struct {
	Ref    string            `json:"tree"`
	Visits []scheduler.Visit `json:"visits"`
}

// maxExplained bounds the trees whose reasons are answered in one go.
const maxExplained = 1000

// Run makes the pass. Running it again on the same day writes no visit.
func (d Due) Run(ctx context.Context, q DueRequest) (DueResult, error) {
	began := d.Now()
	var out DueResult
	if q.Explain && (len(q.Trees) == 0 || len(q.Trees) > maxExplained) {
		e := scheduler.Errorf(scheduler.Invalid, "explain: name 1 to %d trees", maxExplained)
		e.Hint = "their visits are made anew too; the pass over every tree prints counts alone"
		return out, e
	}
	r, err := loadRules(ctx, d.Store, began, q.AsOf)
	if err != nil {
		return out, err
	}
	out.Policy = r.policy.Name
	var only []int64
	for _, ref := range q.Trees {
		ts, err := d.Store.TreeByRef(ctx, ref)
		if err != nil {
			return out, err
		}
		only = append(only, ts.Tree.ID)
	}
	out.DueStats, err = d.Store.DuePass(ctx, r.today, only, r.visits, r.policy.ID, scheduler.Stamp{Actor: q.Actor, At: began}, d.Progress)
	if err != nil {
		return out, err
	}
	if q.Explain {
		for i, id := range only {
			list, err := d.Store.VisitsOfTree(ctx, id, false)
			if err != nil {
				return out, err
			}
			out.Explains = append(out.Explains, ExplainedTree{Ref: q.Trees[i], Visits: list})
		}
	}
	out.Seconds = d.Now().Sub(began).Seconds()
	return out, nil
}
