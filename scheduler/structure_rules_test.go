package scheduler

import (
	"errors"
	"strings"
	"testing"

	"limbround/geo"
)

// structured is a preset with lines put in under training and under its first special season.
func structured(t *testing.T, training, season string) (Policy, error) {
	t.Helper()
	text, err := Preset("northeast")
	if err != nil {
		t.Fatal(err)
	}
	bare := withoutKeys(string(text), "  growth_seasons", "  growth_source", "  structure")
	s := strings.Replace(bare, "training:\n", "training:\n"+training, 1)
	return ParsePolicy([]byte(strings.Replace(s, "      kind: closed\n", "      kind: closed\n"+season, 1)))
}

// withoutKeys is a policy's text without some keys, given with their indent, and what stands under them.
func withoutKeys(text string, keys ...string) string {
	var out []string
	under := ""
	for _, line := range strings.Split(text, "\n") {
		if under != "" && strings.HasPrefix(line, under+" ") {
			continue
		}
		under = ""
		for _, k := range keys {
			if strings.HasPrefix(line, k+":") {
				under = k[:len(k)-len(strings.TrimLeft(k, " "))] + " "
			}
		}
		if under == "" {
			out = append(out, line)
		}
	}
	return strings.Join(out, "\n")
}

func TestStructureRules(t *testing.T) {
	p, err := structured(t, "  structure: {temporary_cut: 25 mm, temporary_share_pct: 40, all_temporary_below: 3 in, permanent_share_pct: 70, leader_take_pct: 40, planting_year: broken_and_dead, source: common practice}\n",
		"      cuts: [live, dead]\n")
	if err != nil {
		t.Fatal(err)
	}
	want := StructureRules{25, 40, geo.Inches(3), 70, 40, PlantingDead, "common practice"}
	if p.Training.Structure != want || p.Training.Structure.WithDefaults() != want {
		t.Errorf("%+v, want %+v", p.Training.Structure, want)
	}
	if c := p.Seasons.Special[0].Cuts; len(c) != 2 || c[1] != CutDead {
		t.Errorf("cuts %v", c)
	}
	if p, err = structured(t, "", ""); err != nil {
		t.Fatal(err)
	}
	r := p.Training.Structure.WithDefaults()
	// 30 mm, half, and a permanent branch in the lower 65 %: common practice. 4 in: IFAS EP276.
	if r.TemporaryCut != 30 || r.PermanentShare != 65 || r.LeaderTakePct != 50 || r.AllTemporary != geo.Inches(4) || r.PlantingYear != PlantingByTable {
		t.Errorf("left out: %+v", r)
	}
}

func TestStructureRulesAreChecked(t *testing.T) {
	for _, tc := range []struct{ training, season, field string }{
		{"  structure: {temporary_cut: 5 mm, source: s}\n", "", "training.structure.temporary_cut"},
		{"  structure: {temporary_share_pct: 0, source: s}\n", "", "training.structure.temporary_share_pct"},
		{"  structure: {all_temporary_below: 1 m, source: s}\n", "", "training.structure.all_temporary_below"},
		{"  structure: {permanent_share_pct: 5, source: s}\n", "", "training.structure.permanent_share_pct"},
		{"  structure: {leader_take_pct: 101, source: s}\n", "", "training.structure.leader_take_pct"},
		{"  structure: {planting_year: none, source: s}\n", "", "training.structure.planting_year"},
		{"  structure: {leader_take_pct: 40}\n", "", "training.structure.source"},
		{"", "      cuts: [alive]\n", "seasons.special[0].cuts[0]"},
		{"", "      survey_days: 7\n", "seasons.special[0].survey_days"},
	} {
		_, err := structured(t, tc.training, tc.season)
		var e *Error
		if !errors.As(err, &e) || len(e.Fields) != 1 || e.Fields[0].Field != tc.field {
			t.Errorf("%s%s: %v, want one fault of %s", tc.training, tc.season, err, tc.field)
		}
	}
}
