package scheduler

import (
	"bytes"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
)

var update = flag.Bool("update", false, "rewrite golden files")

func TestPresetsParse(t *testing.T) {
	if len(Presets()) < 2 {
		t.Fatalf("presets %v, want at least two", Presets())
	}
	names := map[string]string{}
	for _, name := range Presets() {
		text, err := Preset(name)
		if err != nil {
			t.Fatal(err)
		}
		p, err := ParsePolicy(text)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		care := CareRules{WarrantyMonths: 12}
		if leaf := p.Seasons.LeafOn; leaf.From.Month > leaf.To.Month {
			care.SproutMonth = 12 // south of the equator
		}
		// The presets hold to what a policy without these blocks would take.
		if diff := cmp.Diff(PracticeRules{}.WithDefaults(), p.Practice.WithDefaults()) + cmp.Diff(care.WithDefaults(), p.Care.WithDefaults()) + cmp.Diff(FollowUpRules{}.WithDefaults(), p.FollowUp.WithDefaults()) +
			cmp.Diff(StructureRules{}.WithDefaults(), p.Training.Structure) + cmp.Diff(AdviseRules{}.WithDefaults(), p.Advise); diff != "" {
			t.Errorf("%s: figures of common practice differ from common practice (-default +preset):\n%s", name, diff)
		}
		if other, twice := names[p.Name]; twice {
			t.Errorf("%s and %s have the same name %q", name, other, p.Name)
		}
		names[p.Name] = name
	}
	if _, err := Preset("../policy"); KindOf(err) != NotFound {
		t.Errorf("unknown preset: error %v, want kind not_found", err)
	}
}

func TestParsePolicyReadsFigures(t *testing.T) {
	text, err := Preset("lower-midwest")
	if err != nil {
		t.Fatal(err)
	}
	p, err := ParsePolicy(text)
	if err != nil {
		t.Fatal(err)
	}
	if p.Region != "LoMidW" || p.Effective != NewDate(2026, 1, 1) {
		t.Errorf("region %q, effective %s", p.Region, p.Effective)
	}
	walk := HeightRule{Legal: 2438, ActAt: 2591, ClearTo: 2743, Source: p.Clearance.Walk.Source} // 8, 8.5 and 9 ft
	if diff := cmp.Diff(walk, p.Clearance.Walk); diff != "" {
		t.Errorf("walk (-want +got):\n%s", diff)
	}
	lane := p.Clearance.Roads[2]
	if lane.Class != Residential || lane.AtLane.Legal != 4267 || lane.AtCurb.Legal != 2438 {
		t.Errorf("residential road %+v", lane)
	}
	tr := p.Training
	if diff := cmp.Diff([]int{25, 40, 35}, tr.DoseByVisit); diff != "" || tr.FlatDose != 25 || tr.SmallCut != 50 || tr.SmallRatio != 0.5 || tr.Reach != 4600 {
		t.Errorf("training limits %+v", tr)
	}
	if got := p.Rotation.Classes; len(got) != 2 || got[0].UpTo != 15*geo.Centimetre || got[0].Years != 4 || got[1].UpTo != 0 || got[1].Years != 8 {
		t.Errorf("rotation %+v", got)
	}
	if p.Wires.Approach != 3048 {
		t.Errorf("approach %s, want 10 ft", p.Wires.Approach)
	}
	fire := p.Seasons.Special[2]
	if fire.Kind != SeasonAllowed || fire.From != (MonthDay{2, 1}) || fire.To != (MonthDay{4, 10}) || fire.Groups[0] != "fire_blight" {
		t.Errorf("fire blight season %+v", fire)
	}
	if p.Work.SetUp[Residential] != 8 || len(p.Work.Kinds) != 16 {
		t.Errorf("work %+v", p.Work)
	}
}

// Each file under testdata/policy is a preset with planted faults; the golden
// beside it lists every fault that must be named, with its line.
func TestParsePolicyNamesEveryFault(t *testing.T) {
	files, err := filepath.Glob("../testdata/policy/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no samples: %v", err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			_, err = ParsePolicy(text)
			var e *Error
			if !errors.As(err, &e) || e.Kind != Invalid {
				t.Fatalf("error %v, want kind invalid", err)
			}
			var got bytes.Buffer
			for _, f := range e.Fields {
				got.WriteString(f.String() + "\n")
			}
			golden := strings.TrimSuffix(file, ".yaml") + ".golden"
			if *update {
				if err := os.WriteFile(golden, got.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got.String()); diff != "" {
				t.Errorf("faults (-want +got):\n%s", diff)
			}
		})
	}
}
