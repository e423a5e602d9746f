package due

import (
	"errors"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// A city that has its maples grow slower by a fifth gets later dates for them,
// the reason names the shift, and other species stay as they were.
func TestGrowthRulesReachTheDates(t *testing.T) {
	p := presetPolicy(t, "lower-midwest")
	before := engineOf(t, p)
	p.Growth.Species = []scheduler.SpeciesGrowth{{Species: "ACRU", DBHShift: -20, Source: "measured by the city in 2026"}}
	after := engineOf(t, p)
	today := day("2026-11-25")
	tree := scheduler.Tree{Species: "ACRU", State: scheduler.Alive, Planted: today.AddYears(-12), DBH: geo.None, Height: geo.None, Crown: geo.None}
	a, b := before.species["ACRU"].curve, after.species["ACRU"].curve
	x, y := a.Project(tree, today).At(today), b.Project(tree, today).At(today)
	if want := x.DBH * 8 / 10; y.DBH < want-1 || y.DBH > want+1 || y.Height >= x.Height {
		t.Errorf("dbh %s and height %s, before %s and %s", y.DBH, y.Height, x.DBH, x.Height)
	}
	if !strings.HasSuffix(b.Name, "dbh -20 %") || !strings.Contains(b.Fallback, "measured by the city in 2026") {
		t.Errorf("name %q, fallback %q", b.Name, b.Fallback)
	}
	if before.species["QURU"].curve != after.species["QURU"].curve {
		t.Error("another species changed its curve")
	}
	tree.DBH, tree.MeasuredOn = 150, today
	if got := b.Project(tree, today).At(today); got.DBH != 150 {
		t.Errorf("measured at 150 mm: %s", got.DBH)
	}
}

func TestNewRefusesACurveThatIsNotPublished(t *testing.T) {
	p := presetPolicy(t, "lower-midwest")
	p.Growth.Species = []scheduler.SpeciesGrowth{
		{Species: "ACRU", Curve: "Acer imaginarium", Source: "test"},
		{Species: "QURU", Region: "Atlantis", Source: "test"},
	}
	m, err := growth.Load()
	if err != nil {
		t.Fatal(err)
	}
	_, err = New(p, m, speciesTable(t))
	var e *scheduler.Error
	if !errors.As(err, &e) || e.Kind != scheduler.Invalid || len(e.Fields) != 2 {
		t.Fatalf("error %v, want two faults", err)
	}
	for _, f := range e.Fields {
		if f.Field != "growth.species[0].curve" && f.Field != "growth.species[1].region" {
			t.Errorf("fault %s", f)
		}
	}
}
