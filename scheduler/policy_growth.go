package scheduler

import (
	"fmt"
	"slices"
	"strings"
)

// GrowthRules are a city's own word on how its species grow. Without a line the
// published curve of the species, or what stands in for it, is used as it is.
type GrowthRules struct {
	Species []SpeciesGrowth `json:"species" yaml:"species"`
}

// SpeciesGrowth sets the curve of one species, or shifts its dbh, or both.
type SpeciesGrowth struct {
	Species  string  `json:"species" yaml:"species"`             // species code
	Curve    string  `json:"curve,omitempty" yaml:"curve"`       // scientific name as the published curve has it; empty for the program's choice
	Region   string  `json:"region,omitempty" yaml:"region"`     // climate region of the curve; empty for the policy's
	DBHShift float64 `json:"dbh_shift_pct" yaml:"dbh_shift_pct"` // dbh here more (less) than the curve's at one age, per cent
	Source   string  `json:"source" yaml:"source"`
}

// maxDBHShift is the largest shift of dbh, in per cent: beyond it another curve
// is the answer.
const maxDBHShift = 60

// check refuses what can be seen without the curves; whether a curve exists is
// known where they are.
func (r *GrowthRules) check(d *policyDecoder) {
	var seen []string
	for i, s := range r.Species {
		at := fmt.Sprintf("growth.species[%d]", i)
		switch {
		case s.Species == "" || strings.ToUpper(s.Species) != s.Species || strings.ContainsAny(s.Species, " \t"):
			d.refuse(at+".species", s.Species, "want a species code, for example ACRU")
		case slices.Contains(seen, s.Species):
			d.refuse(at+".species", s.Species, "is set by an earlier line")
		}
		seen = append(seen, s.Species)
		if d.given(at) && s.Curve == "" && s.Region == "" && s.DBHShift == 0 {
			d.refuse(at, s.Species, "changes nothing: give curve, region or dbh_shift_pct")
		}
		if d.given(at + ".dbh_shift_pct") {
			d.figure(at+".dbh_shift_pct", s.DBHShift, -maxDBHShift, maxDBHShift)
		}
		d.text(at+".source", s.Source)
	}
}

// Of is the line of a species, with its place in the list; nil when it has none.
func (r *GrowthRules) Of(species string) (*SpeciesGrowth, int) {
	for i := range r.Species {
		if r.Species[i].Species == species {
			return &r.Species[i], i
		}
	}
	return nil, -1
}

// PlacedFaults is the error for faults of a policy that were found after it was
// read, each with the line of its Field in the file.
func PlacedFaults(source []byte, faults []Fault) error {
	root, fault := policyRoot(source)
	if fault != nil {
		return policyError([]Fault{*fault})
	}
	d := newPolicyDecoder()
	d.document(root, &Policy{})
	d.faults = nil
	for _, f := range faults {
		d.refuse(f.Field, f.Value, "%s", f.Rule)
	}
	return policyError(d.faults)
}

// Unshifted are the rules without their shifts, and the shifts by species code.
func (r *GrowthRules) Unshifted() (plain GrowthRules, shifts map[string]float64) {
	plain.Species, shifts = slices.Clone(r.Species), map[string]float64{}
	for i := range plain.Species {
		s := &plain.Species[i]
		shifts[s.Species], s.DBHShift = s.DBHShift, 0
	}
	return plain, shifts
}
