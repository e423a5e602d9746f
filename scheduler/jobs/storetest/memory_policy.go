package storetest

import (
	"context"
	"slices"

	"limbround/scheduler"
)

// policyRow is a version of the policy with its text.
type policyRow struct {
	scheduler.Policy
	text string
}

// AddPolicy stores a policy; the same text again answers the id it has.
func (m *Memory) AddPolicy(ctx context.Context, source []byte, p scheduler.Policy, by scheduler.Stamp) (id int64, err error) {
	err = m.write(ctx, func(s *state) error {
		id = s.addPolicy(source, p)
		return signed(by)
	})
	return id, err
}

func (s *state) addPolicy(source []byte, p scheduler.Policy) int64 {
	i := slices.IndexFunc(s.policies, func(r policyRow) bool { return r.text == string(source) })
	if i < 0 {
		i = len(s.policies)
		p.ID = s.id()
		s.policies = append(s.policies, policyRow{p, string(source)})
	}
	return s.policies[i].ID
}

// PolicyByID is one version, also one that is no longer in force.
func (m *Memory) PolicyByID(_ context.Context, id int64) (scheduler.Policy, error) {
	for _, r := range m.read().policies {
		if r.ID == id {
			return m.counted(r.Policy), nil
		}
	}
	return scheduler.Policy{}, scheduler.Errorf(scheduler.NotFound, "policy %d: there is none", id)
}

// CurrentPolicy is the newest that has taken effect on a day, else the one that will first.
func (m *Memory) CurrentPolicy(_ context.Context, on scheduler.Date) (scheduler.Policy, error) {
	list := slices.Clone(m.read().policies)
	sortBy(list, func(r *policyRow) []any {
		away := int(on - r.Effective)
		return []any{away < 0, max(away, -away), -r.ID}
	})
	if len(list) == 0 {
		return scheduler.Policy{}, scheduler.Errorf(scheduler.NotFound, "there is no policy")
	}
	return m.counted(list[0].Policy), nil
}

// counted is a policy whose records count from the day of the first, up to it, that somebody adopted.
func (m *Memory) counted(p scheduler.Policy) scheduler.Policy {
	list := m.read().policies
	if i := slices.IndexFunc(list, func(r policyRow) bool { return r.AdoptedBy != "" && r.ID <= p.ID }); i >= 0 {
		p.CountFrom(list[i].Effective)
	}
	return p
}

// leafOn is the growing season of the newest policy.
func (s *state) leafOn() scheduler.MonthSpan {
	var newest policyRow
	for _, r := range s.policies {
		if r.Effective >= newest.Effective {
			newest = r
		}
	}
	return newest.Seasons.LeafOn
}
