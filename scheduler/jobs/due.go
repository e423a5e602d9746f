package jobs

import (
	"context"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/due"
)

// DueStore keeps trees and visits.
type DueStore interface {
	RuleStore
	// DuePass makes the open visits of the trees in scope what decide answers.
	// It MUST be one transaction, and write no row whose content stays the same. After
	// any change of what decide is given, the scope of stale trees MUST have the tree.
	// A day older than that of the newest pass over the whole city MUST be Stale; a pass
	// for a day to come counts as of the day on which it was made.
	DuePass(ctx context.Context, asOf scheduler.Date, scope scheduler.DueScope, decide func(*scheduler.DueInput) []scheduler.Visit,
		policy int64, by scheduler.Stamp, tell scheduler.DueProgress) (scheduler.DueStats, error)
	// LastDue answers the newest pass over the whole city, zero when there was none.
	LastDue(ctx context.Context) (scheduler.DueRun, error)
	PolicyByID(ctx context.Context, id int64) (scheduler.Policy, error)
	TreeByRef(ctx context.Context, ref string) (scheduler.TreeSite, error)
	VisitsOfTree(ctx context.Context, tree int64, all bool) ([]scheduler.Visit, error)
}

// Due runs the rules over the trees: each ends with the open visits it should
// have, with their windows and reasons. A day's first pass looks at every tree;
// a later one only at those whose facts have changed since, or that a change of the policy touches.
type Due struct {
	Store    DueStore
	Now      func() time.Time
	Progress scheduler.DueProgress // trees done so far; may be nil
}

// DueRequest says for which day, and for which trees.
type DueRequest struct {
	AsOf    scheduler.Date // zero for today in the city
	Trees   []string       // the city's numbers; empty for the whole city
	Full    bool           // look at every tree, changed or not
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
	scope, err := d.scope(ctx, &q, &r)
	if err != nil {
		return out, err
	}
	out.DueStats, err = d.Store.DuePass(ctx, r.today, scope, r.visits, r.policy.ID, scheduler.Stamp{Actor: q.Actor, At: began}, d.Progress)
	if err != nil {
		return out, err
	}
	if q.Explain {
		for i, id := range scope.Trees {
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

// scope decides which trees the pass has to look at.
func (d Due) scope(ctx context.Context, q *DueRequest, r *rules) (scheduler.DueScope, error) {
	var scope scheduler.DueScope
	for _, ref := range q.Trees {
		ts, err := d.Store.TreeByRef(ctx, ref)
		if err != nil {
			return scope, err
		}
		scope.Trees = append(scope.Trees, ts.Tree.ID)
	}
	if q.Full || scope.Trees != nil {
		return scope, nil
	}
	last, err := d.Store.LastDue(ctx)
	if err != nil || last.AsOf != r.today || last.PolicyID == 0 {
		return scope, err // another day, other states
	}
	scope.Stale = true
	if last.PolicyID != r.policy.ID {
		before, err := d.Store.PolicyByID(ctx, last.PolicyID)
		if err != nil {
			return scope, err
		}
		scope.Touch = due.Touched(before, r.policy, r.list)
	}
	return scope, nil
}
