package growth

import (
	"math"
	"testing"

	"limbround/scheduler"
)

func TestCityOverridesASpecies(t *testing.T) {
	m := load(t)
	maple := scheduler.Species{Code: "ACRU", Scientific: "Acer rubrum"}
	zelkova := scheduler.Species{Code: "ZESE", Scientific: "Zelkova serrata", Growth: "moderate", MatureHeight: 18000}
	palm := scheduler.Species{Code: "SAPA", Scientific: "Sabal palmetto", Habit: scheduler.Palm}
	for _, tt := range []struct {
		name           string
		rule           scheduler.SpeciesGrowth
		sp             scheduler.Species
		curve, because string
		fault          string
		scale          float64
	}{
		{"none of this species", scheduler.SpeciesGrowth{Species: "QURU", DBHShift: 9}, maple, "Acer rubrum, LoMidW", "", "", 1},
		{
			"a shift",
			scheduler.SpeciesGrowth{Species: "ACRU", DBHShift: -8, Source: "city, 2026"},
			maple,
			"Acer rubrum, LoMidW, dbh -8 %", "dbh -8 % by the city's policy: city, 2026", "", 0.92,
		},
		{
			"another region",
			scheduler.SpeciesGrowth{Species: "ZESE", Region: "NoEast", Source: "nearest"},
			zelkova,
			"Zelkova serrata, NoEast", "region NoEast by the city's policy: nearest", "", 1,
		},
		{
			"curve, region and shift",
			scheduler.SpeciesGrowth{Species: "ZESE", Curve: "ulmus americana", Region: "MidWst", DBHShift: 4.5, Source: "near kin"},
			zelkova,
			"Ulmus americana, MidWst, dbh +4.5 %", "curve of Ulmus americana, MidWst by the city's policy: near kin; dbh +4.5 % by the city's policy: near kin", "", 1.045,
		},
		{
			"a curve of elsewhere",
			scheduler.SpeciesGrowth{Species: "ZESE", Curve: "Zelkova serrata", Source: "x"},
			zelkova, "", "",
			`growth.species[0].curve "Zelkova serrata": has no curve in LoMidW; it has one in InlVal, NoEast, SacVal (region:)`, 0,
		},
		{
			"no such curve",
			scheduler.SpeciesGrowth{Species: "ACRU", Curve: "Quercus imaginaria", Source: "x"},
			maple, "", "",
			`growth.species[0].curve "Quercus imaginaria": has no published curve; of its genus there are in LoMidW: Quercus rubra`, 0,
		},
		{
			"no such genus",
			scheduler.SpeciesGrowth{Species: "ACRU", Curve: "Nihil novum", Source: "x"},
			maple, "", "",
			`growth.species[0].curve "Nihil novum": has no published curve, nor has its genus in LoMidW`, 0,
		},
		{
			"a palm for a maple",
			scheduler.SpeciesGrowth{Species: "ACRU", Curve: "Sabal palmetto", Region: "CenFla", Source: "x"},
			maple, "", "",
			`growth.species[0].curve "Sabal palmetto": a palm and a tree do not stand in for one another`, 0,
		},
		{
			"no palms there",
			scheduler.SpeciesGrowth{Species: "SAPA", Region: "NoEast", Source: "x"},
			palm, "", "",
			`growth.species[0].species "SAPA": has no curve in NoEast: no palm curves in this climate region`, 0,
		},
	} {
		c, fault := m.CurveUnder("LoMidW", scheduler.GrowthRules{Species: []scheduler.SpeciesGrowth{tt.rule}}, tt.sp)
		said := ""
		if fault != nil {
			said = fault.String()
		}
		if said != tt.fault {
			t.Errorf("%s: fault %q, want %q", tt.name, said, tt.fault)
		}
		if fault == nil && (c.Name != tt.curve || c.Fallback != tt.because || math.Abs(c.scale-tt.scale) > 1e-9 || c.lagPerInch != 1) {
			t.Errorf("%s: %+v, want %q, %q, scale %g and the lag of a cold region", tt.name, c, tt.curve, tt.because, tt.scale)
		}
	}
}

// A shifted curve is the published one with every dbh of an age scaled: forward,
// back, and at its end.
func TestShiftScalesDBHBothWays(t *testing.T) {
	m := load(t)
	sp := scheduler.Species{Code: "GLTR", Scientific: "Gleditsia triacanthos"}
	plain := m.Curve("MidWst", sp)
	c, fault := m.CurveUnder("MidWst", scheduler.GrowthRules{Species: []scheduler.SpeciesGrowth{{Species: "GLTR", DBHShift: 10, Source: "x"}}}, sp)
	if fault != nil {
		t.Fatal(fault)
	}
	for age := 1.0; age <= 30; age += 0.5 {
		a, beyond := plain.DBH(age)
		b, still := c.DBH(age)
		if math.Abs(b-1.1*a) > 1e-9 || beyond != still {
			t.Errorf("age %g: %g and %g cm, beyond %t and %t", age, a, b, beyond, still)
		}
		if math.Abs(c.Age(b)-plain.Age(a)) > 1e-9 {
			t.Errorf("age %g: equivalent ages %g and %g", age, c.Age(b), plain.Age(a))
		}
	}
	if c.Height(20) != plain.Height(20) || c.Crown(20) != plain.Crown(20) {
		t.Error("a shift of dbh at an age changed the height of a dbh")
	}
}

func TestFaultsOfGrowthRules(t *testing.T) {
	m := load(t)
	species, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	rules := scheduler.GrowthRules{Species: []scheduler.SpeciesGrowth{
		{Species: "ACRU", DBHShift: 3, Source: "x"}, {Species: "NONE", DBHShift: 3, Source: "x"}, {Species: "QURU", Region: "Mars", Source: "x"},
	}}
	got := m.Faults("LoMidW", rules, species)
	if len(got) != 2 || got[0].Field != "growth.species[1].species" || got[1].Field != "growth.species[2].region" {
		t.Errorf("faults %v", got)
	}
	if got := m.Faults("Mars", rules, species); len(got) != 1 || got[0].Field != "region" {
		t.Errorf("a policy of no region: %v", got)
	}
	if got := m.Faults("Mars", scheduler.GrowthRules{}, species); got != nil {
		t.Errorf("a policy without growth rules: %v", got)
	}
}
