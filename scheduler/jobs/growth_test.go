package jobs

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

func speciesTable(t *testing.T) []scheduler.Species {
	t.Helper()
	list, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestGrowthAnswersABand(t *testing.T) {
	species := speciesTable(t)
	ask := func(q GrowthRequest) GrowthResult {
		t.Helper()
		r, err := Growth(q, species)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	aged := ask(GrowthRequest{Region: "NoEast", Species: "QUPA", Age: 20})
	if aged.DBHLow >= aged.DBH || aged.DBHHigh <= aged.DBH || aged.HeightLow >= aged.Height || aged.HeightHigh <= aged.Height ||
		aged.CrownLow >= aged.Crown || aged.CrownHigh <= aged.Crown || !strings.HasPrefix(aged.Band, growth.InWords) {
		t.Errorf("by age: %+v", aged)
	}
	now := ask(GrowthRequest{Region: "NoEast", Species: "QUPA", DBH: 25})
	if now.DBHLow != 25 || now.DBHHigh != 25 || now.HeightLow >= now.Height {
		t.Errorf("measured now: %+v", now)
	}
	later := ask(GrowthRequest{Region: "NoEast", Species: "QUPA", DBH: 25, Years: 8})
	if later.DBHLow < 25 || later.DBHHigh <= later.DBH || math.Abs(later.Age-now.Age-8) > 1e-9 || math.Abs(later.DBH-25-8*1.29969) > 0.06 { // the published line rises so much a year
		t.Errorf("eight years after: %+v", later)
	}
	if full := ask(GrowthRequest{Region: "NoEast", Species: "QUPA", Age: later.Age}); full.DBHHigh-full.DBHLow <= later.DBHHigh-later.DBHLow {
		t.Errorf("measured eight years ago %+v, by age alone %+v", later, full)
	}
	off := ask(GrowthRequest{Region: "MidWst", Species: "GLTR", Age: 15, Years: 15})
	if !off.Extrapolated || off.DBHHigh != 0 || off.Band != "none past the published range" || off.Age != 30 {
		t.Errorf("past the range: %+v", off)
	}
	ruled := ask(GrowthRequest{Region: "NoEast", Species: "QUPA", Age: 20, Rules: scheduler.GrowthRules{Species: []scheduler.SpeciesGrowth{{Species: "QUPA", DBHShift: -10, Source: "city"}}}})
	if math.Abs(ruled.DBH-0.9*aged.DBH) > 0.06 || !strings.Contains(ruled.Fallback, "city") {
		t.Errorf("under the city's rules: %+v", ruled)
	}
	for _, q := range []GrowthRequest{
		{Region: "NoEast", Species: "QUPA", Age: 20, Years: -1},
		{Region: "NoEast", Species: "none", Age: 20},
		{Region: "NoEast", Species: "QUPA", Age: 20, Rules: scheduler.GrowthRules{Species: []scheduler.SpeciesGrowth{{Species: "QUPA", Curve: "Nihil novum", Source: "x"}}}},
	} {
		if _, err := Growth(q, species); scheduler.KindOf(err) != scheduler.Invalid {
			t.Errorf("%+v: %v", q, err)
		}
	}
}

// grownCity is a city whose measured trees are all a fifth thinner than the curve.
type grownCity struct {
	policy  scheduler.Policy
	species []scheduler.Species
}

func (grownCity) City(context.Context) (scheduler.City, error) {
	return scheduler.City{TimeZone: "America/Chicago"}, nil
}

func (c grownCity) CurrentPolicy(context.Context, scheduler.Date) (scheduler.Policy, error) {
	return c.policy, nil
}

func (c grownCity) Species(context.Context) ([]scheduler.Species, error) { return c.species, nil }

func (c grownCity) MeasuredTrees(_ context.Context, fn func(string, scheduler.Date, scheduler.Date, geo.Length) error) error {
	m, err := growth.Load()
	if err != nil {
		return err
	}
	curve := m.Curve("LoMidW", scheduler.Species{Scientific: "Acer rubrum"})
	measured := scheduler.NewDate(2026, 6, 1)
	for i := range 60 {
		planted := measured.AddYears(-5 - i/2)
		cm, _ := curve.DBH(planted.YearsTo(measured))
		if err := fn("ACRU", planted, measured, geo.Centimetres(cm*(0.7+0.2*float64(i%2)))); err != nil {
			return err
		}
	}
	return fn("QURU", measured.AddYears(-9), measured, 200)
}

// The proposed lines are adopted, and the same trees then propose the same
// shift again and no other; taking the lines out is the way back.
func TestCalibrationProposesLinesThatAPolicyTakes(t *testing.T) {
	src, err := scheduler.Preset("lower-midwest")
	if err != nil {
		t.Fatal(err)
	}
	species := speciesTable(t)
	read := func(text string) scheduler.Policy {
		t.Helper()
		p, err := ReadPolicy([]byte(text), species)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	now := func() time.Time { return time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC) }
	run := func(p scheduler.Policy) CalibrateResult {
		t.Helper()
		res, err := Calibrate{Store: grownCity{p, species}, Now: now}.Run(t.Context(), CalibrateRequest{})
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	first := run(read(string(src)))
	if len(first.Rows) != 2 || first.Trees != 61 || first.Rows[0].Shift > -18 || first.Rows[0].Shift < -21 || !first.Rows[0].Rule || first.Rows[1].Rule {
		t.Fatalf("calibration %+v", first)
	}
	p := read(strings.TrimRight(string(src), "\n") + "\n" + first.YAML)
	if len(p.Growth.Species) != 1 || p.Growth.Species[0].DBHShift != first.Rows[0].Shift {
		t.Fatalf("the policy took %+v of\n%s", p.Growth, first.YAML)
	}
	second := run(p)
	if second.Rows[0].Shift != first.Rows[0].Shift || second.Rows[0].InForce != first.Rows[0].Shift || second.YAML != first.YAML {
		t.Errorf("under the shifted policy: %+v\n%s", second.Rows[0], second.YAML)
	}
	back := run(read(string(src)))
	if back.Rows[0].InForce != 0 || back.YAML != first.YAML {
		t.Errorf("without the lines again: %+v", back.Rows[0])
	}
}

func TestGrowthYAMLKeepsOtherLines(t *testing.T) {
	rules := scheduler.GrowthRules{Species: []scheduler.SpeciesGrowth{
		{Species: "ZESE", Curve: "Zelkova serrata", Region: "NoEast", Source: "nearest"}, {Species: "ACRU", Region: "NoEast", DBHShift: 3, Source: "old"},
	}}
	got := growthYAML(rules, []growth.Calibration{{Species: "ACRU", Trees: 44, Shift: -8.5, Rule: true}, {Species: "QURU"}}, scheduler.NewDate(2026, 11, 25))
	want := `growth:
  species:
    - species: ZESE
      curve: "Zelkova serrata"
      region: NoEast
      source: "nearest"
    - species: ACRU
      region: NoEast
      dbh_shift_pct: -8.5
      source: "measured by the city: 44 trees, 2026-11-25"
`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if got := growthYAML(rules, []growth.Calibration{{Species: "QURU"}}, 0); got != "" {
		t.Errorf("nothing to propose: %q", got)
	}
}

func TestReadPolicyNamesTheLineOfAGrowthRule(t *testing.T) {
	src, err := scheduler.Preset("lower-midwest")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.TrimRight(string(src), "\n") + "\ngrowth:\n  species:\n    - species: ACRU\n      curve: Acer imaginarium\n      source: x\n"
	_, err = ReadPolicy([]byte(text), speciesTable(t))
	var e *scheduler.Error
	if !errors.As(err, &e) || len(e.Fields) != 1 || e.Fields[0].Line != strings.Count(text, "\n")-1 || !strings.Contains(e.Fields[0].Rule, "Acer rubrum") {
		t.Errorf("error %v", err)
	}
}

func TestCompareGrowthReadsMeasuredTrees(t *testing.T) {
	species := speciesTable(t)
	head := "region,species,age,dbh_cm,height_m\n"
	got, err := CompareGrowth(strings.NewReader("# a note\n"+head+"NoEast,QUPA,20,28.9,10\nNoEast,QUPA,,28.9,\nNoEast,Quercus palustris,20,38.9,\n"), species)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 2 || got[0].Trees != 2 || got[0].Curve != "Quercus palustris, NoEast" || got[1].DBH[4].Trees != 1 || math.Abs(got[1].DBH[4].Bias-10) > 0.1 {
		t.Errorf("comparison %+v", got)
	}
	for text, want := range map[string]string{
		"region,species\n":                                     "the first line names the columns",
		head + "Mars,QUPA,20,28,10\n":                          `line 2: region "Mars"`,
		head + "NoEast,QUPA,20,thick,10\nNoEast,QUPA,-2,2,1\n": `line 2: dbh_cm "thick"`,
	} {
		if _, err := CompareGrowth(strings.NewReader(text), species); scheduler.KindOf(err) != scheduler.Invalid || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}
