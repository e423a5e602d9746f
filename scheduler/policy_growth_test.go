package scheduler

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func withGrowth(t *testing.T, block string) (string, int) {
	t.Helper()
	b, err := Preset("lower-midwest")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.TrimRight(string(b), "\n") + "\n"
	return text + block, strings.Count(text, "\n")
}

func TestGrowthRulesAreRead(t *testing.T) {
	text, _ := withGrowth(t, `growth:
  species:
    - {species: ACRU, curve: "Acer rubrum", region: NoEast, dbh_shift_pct: -8, source: "measured by the city, 2026"}
    - {species: QURU, dbh_shift_pct: 4.5, source: common practice}
`)
	p, err := ParsePolicy([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	want := []SpeciesGrowth{
		{"ACRU", "Acer rubrum", "NoEast", -8, "measured by the city, 2026"},
		{"QURU", "", "", 4.5, "common practice"},
	}
	if diff := cmp.Diff(want, p.Growth.Species); diff != "" {
		t.Errorf("growth rules (-want +got):\n%s", diff)
	}
}

func TestGrowthRulesNameTheLine(t *testing.T) {
	text, at := withGrowth(t, `growth:
  species:
    - {species: acru, dbh_shift_pct: -8, source: x}
    - {species: QURU, source: x}
    - {species: TICO, dbh_shift_pct: 80, source: x}
    - {species: TICO, dbh_shift_pct: 8}
`)
	_, err := ParsePolicy([]byte(text))
	var e *Error
	if !errors.As(err, &e) || e.Kind != Invalid {
		t.Fatalf("error %v", err)
	}
	var got []string
	for _, f := range e.Fields {
		got = append(got, f.String())
	}
	line := func(n int, format string) string { return fmt.Sprintf("line %d: "+format, at+n) }
	want := []string{
		line(3, `growth.species[0].species "acru": want a species code, for example ACRU`),
		line(4, `growth.species[1] "QURU": changes nothing: give curve, region or dbh_shift_pct`),
		line(5, `growth.species[2].dbh_shift_pct "80": want a number from -60 to 60`),
		line(6, `growth.species[3].species "TICO": is set by an earlier line`),
		line(6, `growth.species[3].source "": is required: where the figures come from, or "common practice"`),
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("faults (-want +got):\n%s", diff)
	}
}

// A fault found after reading gets the line of its figure.
func TestPlacedFaultsNameTheLine(t *testing.T) {
	text, at := withGrowth(t, `growth:
  species:
    - species: ACRU
      curve: Acer imaginarium
      source: x
`)
	err := PlacedFaults([]byte(text), []Fault{{Field: "growth.species[0].curve", Value: "Acer imaginarium", Rule: "has no published curve"}})
	var e *Error
	if !errors.As(err, &e) || e.Kind != Invalid || len(e.Fields) != 1 || e.Fields[0].Line != at+4 {
		t.Fatalf("error %v, want a fault in line %d", err, at+4)
	}
}
