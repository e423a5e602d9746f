package jobs

import (
	"context"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/due"
	"limbround/scheduler/growth"
)

// PreviewStore lets two sets of rules look at the city's trees.
type PreviewStore interface {
	RuleStore
	// DueLook hands what compare answers about each tree that the change can touch to take, in the
	// order of the trees' numbers, and writes nothing. compare may run on several goroutines.
	DueLook(ctx context.Context, touch scheduler.DueTouch, compare func(*scheduler.DueInput) []scheduler.VisitShift,
		take func(*scheduler.VisitShift) error, tell scheduler.DueProgress) (trees, looked int, err error)
}

// PolicyPreview says what adopting a policy would move, before it is adopted:
// the rules in force and the new ones both look at every tree that the change can touch.
type PolicyPreview struct {
	Store    PreviewStore
	Now      func() time.Time
	Progress scheduler.DueProgress               // trees done so far; may be nil
	List     func(s *scheduler.VisitShift) error // told of every visit that moves; may be nil
}

// Run compares as of asOf, today in the city when it is zero. Both rules are
// judged by as if in force on that day.
func (p PolicyPreview) Run(ctx context.Context, policy scheduler.Policy, asOf scheduler.Date) (scheduler.PolicyPreview, error) {
	var out scheduler.PolicyPreview
	now, err := loadRules(ctx, p.Store, p.Now(), asOf)
	if err != nil {
		return out, err
	}
	model, err := growth.Load()
	if err != nil {
		return out, err
	}
	then := rules{today: now.today, policy: policy, list: now.list, species: now.species}
	if then.engine, err = due.New(policy, model, now.list); err != nil {
		return out, err
	}
	out.Policy, out.Before, out.AsOf = policy.Name, now.policy.Name, now.today
	var tally scheduler.ShiftTally
	out.Trees, out.Looked, err = p.Store.DueLook(ctx, due.Touched(now.policy, policy, now.list),
		func(in *scheduler.DueInput) []scheduler.VisitShift {
			return scheduler.DiffRules(in, now.visits(in), then.visits(in), policy.Seasons.LeafOn)
		},
		func(s *scheduler.VisitShift) error {
			tally.Add(s)
			if p.List == nil {
				return nil
			}
			return p.List(s)
		}, p.Progress)
	if err != nil {
		return out, err
	}
	tally.Fill(&out)
	return out, nil
}
