package jobs

import (
	"context"
	"slices"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/due"
	"limbround/scheduler/growth"
)

// recordRules are the rules of one day for a batch of records. An engine works
// out the curves of its species, and a record is about one tree: so each species gets its
// engine when the first record asks for it.
type recordRules struct {
	today   scheduler.Date
	zone    *time.Location
	policy  scheduler.Policy
	engines map[engineKey]*due.Engine
	inForce map[scheduler.Date]scheduler.Policy // by day of work
}

// engineKey names the engine of one policy for one species.
type engineKey struct {
	policy  int64
	species string
}

func loadRecordRules(ctx context.Context, store RuleStore, now time.Time) (*recordRules, error) {
	r := &recordRules{engines: map[engineKey]*due.Engine{}, inForce: map[scheduler.Date]scheduler.Policy{}}
	var err error
	if r.zone, err = cityZone(ctx, store); err != nil {
		return nil, err
	}
	r.today = scheduler.DateOf(now.In(r.zone))
	if r.policy, err = store.CurrentPolicy(ctx, r.today); err != nil {
		return nil, err
	}
	return r, nil
}

func (r *recordRules) engine(p *scheduler.Policy, of *scheduler.Species) (*due.Engine, error) {
	var one []scheduler.Species
	key := engineKey{policy: p.ID}
	if of != nil {
		one, key.species = []scheduler.Species{*of}, of.Code
	}
	if e, there := r.engines[key]; there {
		return e, nil
	}
	model, err := growth.Load()
	if err != nil {
		return nil, err
	}
	e, err := due.New(*p, model, one)
	if err != nil {
		return nil, err
	}
	r.engines[key] = e
	return e, nil
}

// follow decides what a record changes: it reads the tree's records anew with
// this one among them, and asks the rules for the visits that they want afterwards.
func (r *recordRules) follow(in scheduler.RecordInput) (scheduler.RecordOutcome, error) {
	if faults := in.Record.Against(&in.Tree, in.On); len(faults) > 0 {
		return scheduler.RecordOutcome{}, brokenRecord(&in.Record, faults)
	}
	engine, err := r.engine(&r.policy, in.Species)
	if err != nil {
		return scheduler.RecordOutcome{}, err
	}
	fold := scheduler.FoldRules{FollowUp: r.policy.FollowUp, LeafOn: r.policy.Seasons.LeafOn, Skill: func(t *scheduler.Tree, k scheduler.WorkKind, on scheduler.Date) scheduler.Skill {
		for _, v := range engine.Visits(*t, in.Site, on) {
			if slices.Contains(v.Kinds, k) {
				return v.Skill
			}
		}
		return scheduler.Ground
	}}
	f := in.Fold(fold)
	out := scheduler.RecordOutcome{Tree: f.Tree, Closes: in.Closes(&f), FollowUps: f.FollowUps}
	out.Opens, out.Seen = f.OpenVisits(in.Record.ID, &in.Site, &r.policy)
	r.approval(out.Opens, &in)
	if out.Deviations, err = r.deviations(&in, fold); err != nil {
		return out, err
	}
	tree := f.Tree
	tree.Watch = slices.DeleteFunc(slices.Clone(tree.Watch), func(w scheduler.WatchItem) bool { return w.Resolved })
	standing := slices.DeleteFunc(slices.Clone(f.FollowUps), func(u scheduler.FollowUp) bool { return !u.EndedOn.IsZero() })
	day := rules{today: r.today, engine: engine}
	out.Visits = day.visits(&scheduler.DueInput{Tree: tree, Site: in.Site, FollowUps: standing})
	out.Visits = slices.DeleteFunc(out.Visits, func(v scheduler.Visit) bool {
		return slices.ContainsFunc(out.Opens, func(o scheduler.OpenedVisit) bool { return o.Visit.Kind == v.Kind && !o.Done })
	})
	return out, nil
}

// approval adds to emergency work in a closed season that it needs a named approver.
func (r *recordRules) approval(opens []scheduler.OpenedVisit, in *scheduler.RecordInput) {
	group := ""
	if in.Species != nil {
		group = in.Species.ClosedGroup
	}
	for i := range opens {
		v := &opens[i].Visit
		if v.Kind != scheduler.MakeSafe {
			continue
		}
		if text := r.policy.Seasons.Approval(group, v.Window.Due); text != "" {
			v.Cautions = append(v.Cautions, text)
		}
	}
}
