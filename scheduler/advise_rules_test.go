package scheduler

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The block of a policy for advice may be left out, in part or in whole; a zero
// or a slipped digit is refused by its line.
func TestAdviseBlockOfAPolicy(t *testing.T) {
	preset, err := Preset("northeast")
	if err != nil {
		t.Fatal(err)
	}
	parse := func(block string) (Policy, error) {
		return ParsePolicy([]byte(withoutKeys(string(preset), "advise") + "\n" + block + "\n"))
	}
	p, err := parse("advise: {reduce_pct: 40}")
	if err != nil {
		t.Fatal(err)
	}
	want := AdviseRules{ReducePct: 40, SlowsFrom: 25, EndWeightPct: 20, LateralPct: 33, SideDosePct: 60, SpreadPct: 30}
	if diff := cmp.Diff(want, p.Advise.WithDefaults()); diff != "" {
		t.Error(diff)
	}
	for field, block := range map[string]string{
		"advise.reduce_pct": "advise: {reduce_pct: 0}", "advise.lateral_pct": "advise: {lateral_pct: 10}",
	} {
		_, err := parse(block)
		var e *Error
		if !errors.As(err, &e) || len(e.Fields) != 1 || e.Fields[0].Field != field || e.Fields[0].Line == 0 {
			t.Errorf("%s: %v", block, err)
		}
	}
}
