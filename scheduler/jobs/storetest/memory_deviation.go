package storetest

import (
	"context"
	"slices"

	"limbround/scheduler"
)

// logDeviations keeps the rows that are not there already.
func (s *state) logDeviations(list []scheduler.Deviation, by scheduler.Stamp) {
	for _, d := range list {
		if slices.ContainsFunc(s.departed, func(o scheduler.Deviation) bool {
			return o.RecordID == d.RecordID && o.Rule == d.Rule && o.Item == d.Item
		}) {
			continue
		}
		d.ID, d.Actor, d.At = s.id(), by.Actor, by.At
		s.departed = append(s.departed, d)
	}
}

// AddDeviation keeps the manager's own entry.
func (m *Memory) AddDeviation(ctx context.Context, d scheduler.Deviation, by scheduler.Stamp) (scheduler.Deviation, error) {
	err := m.write(ctx, func(s *state) error {
		d.ID, d.Actor, d.At = s.id(), by.Actor, by.At
		s.departed = append(s.departed, d)
		return signed(by)
	})
	return d, err
}

// DeviationList lists by number, of work since a day.
func (m *Memory) DeviationList(_ context.Context, since scheduler.Date, after int64, limit int) (list []scheduler.Deviation, matched int, err error) {
	for _, d := range m.read().departed {
		if d.On < since {
			continue
		}
		if matched++; d.ID > after && len(list) < limit {
			list = append(list, d)
		}
	}
	return list, matched, nil
}
