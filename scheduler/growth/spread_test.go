package growth

import (
	"math"
	"slices"
	"testing"

	"limbround/scheduler"
)

// Two figures of the program are worked out from the published curves alone: at
// twenty years, the spread of one species between the climate regions, and how
// far another species' curve that stands in lies off the species' own.
func TestSpreadsComeFromThePublishedCurves(t *testing.T) {
	m := load(t)
	byName := map[string][]float64{}
	var off [3][]float64
	for _, r := range Regions() {
		for _, s := range m.regions[r.Code] {
			if s.kind == palm {
				continue
			}
			byName[normal(s.name)] = append(byName[normal(s.name)], math.Log(s.dbh.at(20)))
			in := m.without(t, s)
			if in == nil {
				continue
			}
			cm := s.dbh.at(20)
			off[0] = append(off[0], math.Log(in.dbh.at(20)/cm))
			off[1] = append(off[1], math.Log(in.height.at(cm)/s.height.at(cm)))
			off[2] = append(off[2], math.Log(in.crown.at(cm)/s.crown.at(cm)))
		}
	}
	squares, df := 0.0, 0
	for _, v := range byName {
		if len(v) >= 3 {
			squares += variance(v) * float64(len(v)-1)
			df += len(v) - 1
		}
	}
	if got := math.Sqrt(squares / float64(df)); df < 100 || math.Abs(got-regionSpread) > 0.005 {
		t.Errorf("spread between regions %.3f of %d degrees of freedom, the program says %g", got, df, regionSpread)
	}
	for i, want := range [3]float64{standInDBH, standInHeight, standInCrown} {
		squares = 0
		for _, x := range off[i] {
			squares += x * x
		}
		if got := math.Sqrt(squares / float64(len(off[i]))); len(off[i]) < 150 || math.Abs(got-want) > 0.005 {
			t.Errorf("%s of stand-ins %.3f off, of %d, the program says %g", columns[6+i], got, len(off[i]), want)
		}
	}
}

// without is the set that stands in for a species of the built-in table when
// its own is taken away; nil for other species and where only a variety is left.
func (m *Model) without(t *testing.T, s *set) *set {
	t.Helper()
	table, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	k := slices.IndexFunc(table, func(sp scheduler.Species) bool { return normal(sp.Scientific) == normal(s.name) })
	if k < 0 {
		return nil
	}
	in, how := match(filter(m.regions[s.region], func(o *set) bool { return o != s }), table[k])
	if !standsIn(how) {
		return nil
	}
	return in
}

func variance(v []float64) float64 {
	mean, squares := 0.0, 0.0
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for _, x := range v {
		squares += (x - mean) * (x - mean)
	}
	return squares / float64(len(v)-1)
}
