package jobs

import (
	"context"
	"time"

	"limbround/scheduler"
)

// DeviationStore keeps the log of departures from the policy.
type DeviationStore interface {
	RuleStore
	TreeByRef(ctx context.Context, ref string) (scheduler.TreeSite, error)
	AddDeviation(ctx context.Context, d scheduler.Deviation, by scheduler.Stamp) (scheduler.Deviation, error)
	// DeviationList lists by number: after is the number to read on from, since the first day of work.
	DeviationList(ctx context.Context, since scheduler.Date, after int64, limit int) ([]scheduler.Deviation, int, error)
}

// AddDeviation writes the manager's own entry into the log.
type AddDeviation struct {
	Store DeviationStore
	Now   func() time.Time
}

// DeviationRequest is what the manager writes down.
type DeviationRequest struct {
	Rule       scheduler.DeviationRule
	Why        string
	ApprovedBy string
	Tree       string         // the city's number; empty for none
	On         scheduler.Date // day of the departure; zero for today in the city
	Actor      string
}

// Run logs the entry under the policy in force on its day.
func (a AddDeviation) Run(ctx context.Context, q DeviationRequest) (scheduler.Deviation, error) {
	d := scheduler.Deviation{Rule: q.Rule, Why: q.Why, ApprovedBy: q.ApprovedBy, Tree: q.Tree, On: q.On}
	if faults := d.Check(); len(faults) > 0 {
		e := scheduler.Errorf(scheduler.Invalid, "deviation: %s", faults[0])
		e.Fields = faults
		return d, e
	}
	now := a.Now()
	if d.On.IsZero() {
		var err error
		if d.On, err = Today(ctx, a.Store, now); err != nil {
			return d, err
		}
	}
	if q.Tree != "" {
		ts, err := a.Store.TreeByRef(ctx, q.Tree)
		if err != nil {
			return d, err
		}
		d.TreeID = ts.Tree.ID
	}
	p, err := a.Store.CurrentPolicy(ctx, d.On)
	if err != nil {
		return d, err
	}
	d.PolicyID = p.ID
	return a.Store.AddDeviation(ctx, d, scheduler.Stamp{Actor: q.Actor, At: now})
}
