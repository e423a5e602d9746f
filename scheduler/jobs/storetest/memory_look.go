package storetest

import (
	"context"
	"slices"

	"limbround/scheduler"
)

// DueLook lets compare look at the trees that a change of the rules can touch, one after another.
func (m *Memory) DueLook(_ context.Context, touch scheduler.DueTouch, compare func(*scheduler.DueInput) []scheduler.VisitShift,
	take func(*scheduler.VisitShift) error, tell scheduler.DueProgress,
) (trees, looked int, err error) {
	seen := m.read()
	for _, t := range byID(seen.trees, every) {
		now := seen.lookAt(t.ID)
		if !touch.All && !slices.Contains(touch.Species, t.Species) && !slices.Contains(touch.Streets, now.in.Site.StreetClass) {
			continue
		}
		looked++
		for _, s := range compare(&now.in) {
			if err := take(&s); err != nil {
				return len(seen.trees), looked, err
			}
		}
		if tell != nil {
			tell(looked)
		}
	}
	return len(seen.trees), looked, nil
}
