package jobs

import (
	"context"

	"limbround/scheduler"
)

// learn reads the policy that was in force on the day of the record's work. It
// is read ahead of the record's transaction, which holds the tree's row.
func (r *recordRules) learn(ctx context.Context, store RuleStore, rec *scheduler.WorkRecord) error {
	on := scheduler.DateOf(rec.Finish.In(r.zone))
	if _, known := r.inForce[on]; known {
		return nil
	}
	if on == r.today {
		r.inForce[on] = r.policy
		return nil
	}
	p, err := store.CurrentPolicy(ctx, on)
	if err != nil {
		return err
	}
	r.inForce[on] = p
	return nil
}

// deviations holds the record against the policy in force on its day, which for
// a late record may be an older one.
func (r *recordRules) deviations(in *scheduler.RecordInput, fold scheduler.FoldRules) ([]scheduler.Deviation, error) {
	p := r.inForce[in.On]
	e, err := r.engine(&p, in.Species)
	if err != nil {
		return nil, err
	}
	fold.LeafOn = p.Seasons.LeafOn
	return e.Deviations(in, in.Before(fold)), nil
}
