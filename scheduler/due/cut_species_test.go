package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// Above 0.39 a live oak's trunk discolours after a removal, a red maple's only above
// 0.59 (Eisner, Gilman & Grabosky 2002, J. Arboric. 28(2)): the smaller of the
// policy's ratio and the species' own holds, in the cut table, in what the plan waits
// for, and on the card.
func TestSpeciesOwnRatioNarrowsThePolicys(t *testing.T) {
	for _, tc := range []struct {
		species string
		policy  float64
		pct     geo.Length // the last whole per cent that goes in one step
		own     bool
	}{
		{"QUVI", 0.5, 39, true},
		{"QUVI", 0.3, 30, false},
		{"ACRU", 0.5, 50, false},
		{"ACRU", 0.7, 59, true}, // the table's own column of a half narrows it to 50 all the same
		{"QUPA", 0.5, 50, false},
	} {
		e := presetEngine(t, "central-florida", func(p *scheduler.Policy) { p.Training.SmallRatio = tc.policy })
		p := e.species[tc.species]
		if got := geo.Length(percent(p.smallRatio)); got != tc.pct {
			t.Errorf("%s under %g: %d %%, want %d", tc.species, tc.policy, got, tc.pct)
		}
		last := min(tc.pct, 50)
		if in, out := p.cuts.column(last, 100), p.cuts.column(last+1, 100); in > 1 || out != 2 {
			t.Errorf("%s under %g: columns %d and %d at %d and %d %%", tc.species, tc.policy, in, out, last, last+1)
		}
		if strings.Contains(p.cutSource, "Eisner") != tc.own {
			t.Errorf("%s under %g: source %q", tc.species, tc.policy, p.cutSource)
		}
	}
	e := presetEngine(t, "central-florida", nil)
	for species, removes := range map[string]bool{"QUVI": false, "ACRU": true} { // a stem of 40 mm at 0.44
		out, err := e.Advise(inTraining(species, 250), apart(), Branch{Role: CompetingLeader, On: day("2027-01-15"), Diameter: 40, Stem: 90})
		if err != nil || (out.Advice == Remove) != removes {
			t.Errorf("%s: %s, %v; removes %v", species, out.Advice, err, removes)
		}
	}
}
