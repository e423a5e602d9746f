package due

import (
	"math"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// The half ellipsoid by hand: radius 4 m, rise 80 % of it, 3.2 m. At 2.4 m,
// six tenths of the radius, the underside hangs 3.2 x (1 - 0.8) = 0.64 m above the base.
func TestUndersideRisesOutward(t *testing.T) {
	c := crown{base: 2000, radius: 4000, rise: 3200}
	for _, tc := range []struct {
		x    geo.Length
		want float64
	}{{0, 0}, {2400, 640}, {3200, 1280}, {4000, 3200}, {9000, 3200}} {
		if got := c.lift(tc.x); math.Abs(got-tc.want) > 0.5 {
			t.Errorf("%s out: %.1f mm above the base, want %.1f", tc.x, got, tc.want)
		}
	}
}

// TestProfileAgainstEveryPlace holds baseFor and free against a walk outward
// millimetre by millimetre.
func TestProfileAgainstEveryPlace(t *testing.T) {
	rule := func(l geo.Length) scheduler.HeightRule {
		return scheduler.HeightRule{Legal: l, ActAt: l + 150, ClearTo: l + 300}
	}
	for _, v := range []envelope{
		{edge: 900, far: 900, gutter: 300, low: rule(2440), high: rule(4270)},
		{edge: 900, far: 3300, gutter: 300, low: rule(2440), high: rule(4270)},
		{edge: 1200, far: 1200, low: rule(2440), high: rule(2440)},
		{edge: 900, far: 6900, gutter: 300, low: rule(2440), high: rule(3660)},
	} {
		for radius := geo.Length(800); radius < 7000; radius += 370 {
			for _, pct := range []float64{0.3, 0.8, 1.4} {
				for _, at := range []level{legal, actAt, clearTo} {
					c := crown{radius: radius, rise: pct * float64(radius)}
					need := 0.0
					for x := v.start(at) + 1; x <= radius; x++ {
						need = max(need, float64(v.heightAt(x, at))-c.lift(x))
					}
					got := v.baseFor(&c, at)
					if math.Abs(float64(got)-need) > 3 {
						t.Fatalf("%+v radius %s rise %.1f level %d: base %d, by hand %.1f", v, radius, pct, at, got, need)
					}
					for _, base := range []geo.Length{got - 200, got + 3} {
						c.base = base
						first := everywhere
						for x := v.start(at) + 1; x <= radius; x++ {
							if float64(v.heightAt(x, at)) > float64(base)+c.lift(x) {
								first = x - 1
								break
							}
						}
						if free := v.free(&c, at); free != first && (first == everywhere || free-first > 10 || first-free > 10) {
							t.Fatalf("%+v radius %s rise %.1f base %s level %d: free to %d, by hand %d", v, radius, pct, base, at, free, first)
						}
					}
				}
			}
		}
	}
}

// Twigs over the gutter are not an obstruction; a hand further out they are.
func TestGutterIsLetBe(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	site := street()
	for _, tc := range []struct {
		crown geo.Length
		class int
	}{{2300, 4}, {2700, 2}} { // 0.25 m and 0.45 m past a curb 0.9 m from the trunk
		tree := wide(3000, 3000)
		tree.Height, tree.Crown, tree.MeasuredOn = 12000, tc.crown, day("2026-06-01")
		got := 4
		for _, v := range e.Visits(tree, site, day("2026-06-10")) {
			if strings.Contains(reasonOf(v, "clearance.road"), "is legal: within") {
				got = v.Class
			}
		}
		if got != tc.class {
			t.Errorf("crown %s wide: class %d, want %d", tc.crown, got, tc.class)
		}
	}
}

// A tree too small to be raised has its lane side reduced by its next training
// visit; the same crown on a tree that could be raised, or in a sight triangle,
// is work of weeks.
func TestYoungTreeWaitsForItsTraining(t *testing.T) {
	young := maple()
	young.Height, young.Crown, young.MeasuredOn = 5000, 3400, day("2026-01-14")
	young.BaseRoad, young.BaseWalk, young.BaseOn = 1500, 2900, day("2026-01-14")
	tall := young
	tall.Height, tall.DBH = 12000, 240
	corner := street()
	corner.InSight = true
	excepted := func(p *scheduler.Policy) { p.Clearance.YoungTrees = "code 12.3: trees that it would spoil" }
	for _, tc := range []struct {
		name  string
		tree  scheduler.Tree
		site  scheduler.Site
		edit  func(*scheduler.Policy)
		today string
		class int
		words string
	}{
		{"too small", young, street(), nil, "2026-06-10", 4, "reduce the lane side at the next visit"},
		{"too small, its training season open", young, street(), nil, "2029-12-10", 3, "reduce the lane side at the next visit"},
		{"excepted by the code", young, street(), excepted, "2029-12-10", 4, "too young to be raised are excepted"},
		{"tall enough", tall, street(), nil, "2026-06-10", 2, "is legal: within 42 days"},
		{"in a sight triangle", young, corner, nil, "2026-06-10", 2, "is legal: within 42 days"},
	} {
		e := presetEngine(t, "lower-midwest", both(tc.edit, evenPace))
		var got *scheduler.Visit
		visits := e.Visits(tc.tree, tc.site, day(tc.today))
		for i := range visits {
			if reasonOf(visits[i], "clearance.road") != "" {
				got = &visits[i]
			}
		}
		if got == nil || got.Class != tc.class || !strings.Contains(reasonOf(*got, "clearance.road"), tc.words) {
			t.Errorf("%s: %+v, want class %d saying %q", tc.name, got, tc.class, tc.words)
			continue
		}
		if tc.class > 2 {
			if got.Kind != scheduler.Training || !strings.Contains(strings.Join(got.Objectives, "\n"), "cannot be raised yet; reduce it to side branches behind the curb line") &&
				!strings.Contains(strings.Join(got.Objectives, "\n"), "reduce what stands over the curb line") {
				t.Errorf("%s: %s, objectives %q", tc.name, got.Kind, got.Objectives)
			}
		}
	}
}
