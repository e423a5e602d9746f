package jobs

import (
	"fmt"

	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// ReadPolicy reads a policy file against the city's species: beside what
// scheduler.ParsePolicy refuses, a growth rule for a species or by a curve that
// does not exist is a Fault with its line.
func ReadPolicy(source []byte, species []scheduler.Species) (scheduler.Policy, error) {
	p, err := scheduler.ParsePolicy(source)
	if err != nil {
		return p, err
	}
	model, err := growth.Load()
	if err != nil {
		return p, fmt.Errorf("load growth curves: %w", err)
	}
	if faults := model.Faults(p.Region, p.Growth, species); len(faults) > 0 {
		return scheduler.Policy{}, scheduler.PlacedFaults(source, faults)
	}
	return p, nil
}
