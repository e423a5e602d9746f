package scheduler

import (
	"testing"

	"limbround/geo"
)

// 29 CFR 1910.333(c)(3)(i), from memory, and 29 CFR 1910.269(x), line-clearance
// tree trimming: 10 ft to 50 kV to ground, 4 in more for every 10 kV over it. A
// 69 kV line has 39.8 kV to ground, one of 138 kV 79.7: started steps are
// rounded up.
func TestApproachDistanceByVoltage(t *testing.T) {
	r := WireRules{Approach: geo.Feet(10)}
	for _, tc := range []struct {
		volts int
		want  float64 // ft
	}{
		{0, 10},
		{120, 10},
		{7200, 10},
		{39_800, 10},
		{50_000, 10},
		{50_001, 10 + 4/12.0},
		{60_000, 10 + 4/12.0},
		{60_001, 10 + 8/12.0},
		{79_700, 11},
		{132_800, 13},
		{199_200, 15},
		{288_700, 18},
		{441_700, 10 + 40*4/12.0},
	} {
		got := r.Distance(tc.volts).Feet()
		if got < tc.want-0.001 || got > tc.want+0.004 {
			t.Errorf("%d V to ground: %.4f ft, want %.4f", tc.volts, got, tc.want)
		}
	}
	r.Approach = geo.Feet(15) // a city that keeps further off
	if got := r.Distance(79_700); got < geo.Feet(16) || got > geo.Feet(16)+1 {
		t.Errorf("from 15 ft: %s, want 16 ft", got)
	}
}
