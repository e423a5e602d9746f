package growth

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"limbround/scheduler"
)

// grown are trees that grow on a curve but for a shift in per cent, with the
// scatter of the fit.
func grownTrees(c Curve, species string, n int, shift float64, seed uint64) []Sample {
	r := rand.New(rand.NewPCG(seed, 1))
	var out []Sample
	for len(out) < n {
		age := c.MinAge + 2 + r.Float64()*min(c.MaxAge-c.MinAge-2, 40)
		on, _ := c.DBH(age)
		if cm := (1 + shift/100) * (on + r.NormFloat64()*c.set.scatter[0].spread(on, age)); cm > on/5 {
			out = append(out, Sample{species, age, math.Round(cm*10) / 10})
		}
	}
	return out
}

func calibrated(t *testing.T, c Curve, inForce float64, samples []Sample) Calibration {
	t.Helper()
	k, err := NewCalibrator(func(string) (Curve, float64) { return c, inForce }, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range samples {
		k.Add(s)
	}
	rows := k.Rows()
	if len(rows) != 1 {
		t.Fatalf("%d rows", len(rows))
	}
	return rows[0]
}

func TestCalibrationFindsAShift(t *testing.T) {
	c := load(t).Curve("NoEast", scheduler.Species{Scientific: "Quercus palustris"})
	for _, shift := range []float64{-25, -12, 15, 30} {
		got := calibrated(t, c, 0, grownTrees(c, "QUPA", 400, shift, 7))
		if !got.Rule || math.Abs(got.Bias-shift) > 3*got.Error || math.Abs(got.Shift-got.Bias*got.Weight) > 0.06 || got.Weight < 0.95 {
			t.Errorf("trees off by %g %%: %+v", shift, got)
		}
	}
	if got := calibrated(t, c, 0, grownTrees(c, "QUPA", 200, 0, 7)); got.Rule || got.Shift != 0 || !strings.Contains(got.Words, "chance") {
		t.Errorf("trees on the curve: %+v", got)
	}
	if got := calibrated(t, c, 0, grownTrees(c, "QUPA", 60, 90, 7)); got.Rule || !strings.Contains(got.Words, "choose another curve") {
		t.Errorf("trees that are nearly twice as thick: %+v", got)
	}
}

// The fewer the trees, the more a shift is drawn towards none; under the least
// number there is none.
func TestCalibrationShrinksWithFewTrees(t *testing.T) {
	c := load(t).Curve("NoEast", scheduler.Species{Scientific: "Quercus palustris"})
	trees := grownTrees(c, "QUPA", 400, -25, 11)
	before := 0.0
	for _, n := range []int{10, 40, 400} {
		got := calibrated(t, c, 0, trees[:n])
		if got.Weight <= before || math.Abs(got.Weight*got.Bias) > math.Abs(got.Bias) {
			t.Errorf("%d trees: %+v, weight before %g", n, got, before)
		}
		before = got.Weight
	}
	got := calibrated(t, c, -4, trees[:9])
	if got.Rule || got.Shift != 0 || got.Trees != 9 || got.InForce != -4 || got.Words != "no shift: 9 trees, at least 10 are needed" {
		t.Errorf("nine trees: %+v", got)
	}
	if _, err := NewCalibrator(nil, 2); err == nil {
		t.Error("two trees are taken for enough")
	}
}

func TestCalibrationSetsSlipsAndStrangersApart(t *testing.T) {
	c := load(t).Curve("MidWst", scheduler.Species{Scientific: "Gleditsia triacanthos"}) // ages 1 to 21
	trees := grownTrees(c, "GLTR", 50, 10, 3)
	clean := calibrated(t, c, 0, trees)
	dirty := calibrated(t, c, 0, append(trees, Sample{"GLTR", 12, 300}, Sample{"GLTR", 12, 3}, Sample{"GLTR", 40, 60}))
	if dirty.Doubtful != 2 || dirty.OffRange != 1 || dirty.Bias != clean.Bias || dirty.Trees != clean.Trees {
		t.Errorf("with slips %+v, without %+v", dirty, clean)
	}
	none := calibrated(t, Curve{Fallback: "no curves for this climate region"}, 0, trees)
	if none.Rule || none.Words != "no shift: no curves for this climate region" {
		t.Errorf("no curve: %+v", none)
	}
}

// A city whose trees start slowly and catch up is told that no one shift fits.
func TestCalibrationSaysWhenAShiftDoesNotFitAllAges(t *testing.T) {
	c := load(t).Curve("NoEast", scheduler.Species{Scientific: "Quercus palustris"})
	trees := grownTrees(c, "QUPA", 300, 0, 5)
	for i := range trees {
		trees[i].DBH *= 0.6 + trees[i].Age/60
	}
	if got := calibrated(t, c, 0, trees); !strings.Contains(got.Words, "another curve may fit better") {
		t.Errorf("%+v", got)
	}
}

// Held against trees measured one by one: the curve of one region is shifted by
// every other tree of a species measured in another region, and the trees that
// were left out lie nearer to it than before.
func TestCalibrationBringsHeldOutTreesNearer(t *testing.T) {
	m := load(t)
	nearer, looked := 0, 0
	var before, after float64
	for _, s := range measuredSets(t) {
		for _, region := range []string{"MidWst", "NoCalC", "PacfNW", "Piedmt", "NoEast", "LoMidW"} {
			other := find(m.regions[region], func(o *set) bool { return o.name == s.curve.set.name })
			if other == nil || region == s.curve.set.region {
				continue
			}
			c := other.curve()
			var half []Sample
			var rest []MeasuredTree
			for i, tree := range s.trees {
				if tree.Age < 0 {
					continue
				}
				if i%2 == 0 {
					half = append(half, Sample{"X", tree.Age, tree.DBH})
				} else {
					rest = append(rest, tree)
				}
			}
			if len(half) < leastTrees {
				continue
			}
			got := calibrated(t, c, 0, half)
			if !got.Rule {
				continue
			}
			shifted := c
			shifted.scale = 1 + got.Shift/100
			a, b := c.DBHErrors(rest), shifted.DBHErrors(rest)
			x, y := math.Abs(a[len(a)-1].Bias), math.Abs(b[len(b)-1].Bias)
			before, after, looked = before+x, after+y, looked+1
			if y < x {
				nearer++
			}
		}
	}
	t.Logf("%d pairs of species and region shifted: bias of the trees left out %.2f cm before, %.2f cm after, nearer in %d", looked, before/float64(looked), after/float64(looked), nearer)
	if looked < 15 || nearer*10 < looked*8 || after > before/2 {
		t.Errorf("%d pairs, nearer in %d, mean bias %.2f and then %.2f", looked, nearer, before/float64(looked), after/float64(looked))
	}
}
