package due

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
)

// policyChanges are ways in which a city changes its rules, each with what it may touch.
var policyChanges = []struct {
	name string
	edit func(*scheduler.Policy)
	want scheduler.DueTouch
}{
	{"another name", func(p *scheduler.Policy) { p.Name, p.AdoptedBy = "second version", "council" }, scheduler.DueTouch{}},
	{"other figures for advice", func(p *scheduler.Policy) { p.Advise.ReducePct = 40 }, scheduler.DueTouch{}},
	{"higher over collectors", func(p *scheduler.Policy) {
		p.Clearance.Roads = slices.Clone(p.Clearance.Roads)
		r := roadOf(p.Clearance.Roads, scheduler.Collector)
		r.AtLane.ActAt += 300
		r.AtLane.ClearTo += 300
	}, scheduler.DueTouch{Streets: []scheduler.StreetClass{scheduler.Collector}}},
	{"no rule for alleys", func(p *scheduler.Policy) {
		p.Clearance.Roads = slices.DeleteFunc(slices.Clone(p.Clearance.Roads), func(r scheduler.RoadRule) bool { return r.Class == scheduler.Alley })
	}, scheduler.DueTouch{Streets: []scheduler.StreetClass{scheduler.Alley}}},
	{"a longer closed season of elms", func(p *scheduler.Policy) {
		p.Seasons.Special = append(slices.Clone(p.Seasons.Special), scheduler.Season{
			Name: "elm, autumn", Kind: scheduler.SeasonClosed, From: scheduler.MonthDay{Month: 9, Day: 1}, To: scheduler.MonthDay{Month: 10, Day: 31},
			Groups: []string{"elm"}, Authority: "city", Source: "test",
		})
	}, scheduler.DueTouch{Species: []string{"ULAM"}}},
	{"one species grows slower here", func(p *scheduler.Policy) {
		p.Growth.Species = []scheduler.SpeciesGrowth{{Species: "QURU", DBHShift: -20, Source: "test"}}
	}, scheduler.DueTouch{Species: []string{"QURU"}}},
	{"a longer interval", func(p *scheduler.Policy) {
		p.Training.Stages = slices.Clone(p.Training.Stages)
		p.Training.Stages[1].Seasons++
	}, scheduler.DueTouch{All: true}},
	{"another day of effect", func(p *scheduler.Policy) { p.Effective += 40 }, scheduler.DueTouch{All: true}},
	{"longer visits", func(p *scheduler.Policy) { p.Work.SpreadPct += 5 }, scheduler.DueTouch{All: true}},
}

func TestTouchedIsNarrow(t *testing.T) {
	before := presetPolicy(t, "lower-midwest")
	species := speciesTable(t)
	for _, c := range policyChanges {
		after := before
		c.edit(&after)
		got := Touched(before, after, species)
		if len(c.want.Species) > 0 { // more than the one named are of the group
			if !slices.Contains(got.Species, c.want.Species[0]) || len(got.Species) > len(species)/4 {
				t.Errorf("%s: touches species %v", c.name, got.Species)
			}
			got.Species = c.want.Species
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

// FuzzTouched: a tree that a change of the rules does not touch gets the same
// visits under both versions, to the letter.
func FuzzTouched(f *testing.F) {
	before := presetPolicy(f, "lower-midwest")
	species := speciesTable(f)
	codes := []string{"", "none such"}
	for _, s := range species {
		codes = append(codes, s.Code)
	}
	old := engineOf(f, before)
	changed := make([]*Engine, len(policyChanges))
	touch := make([]scheduler.DueTouch, len(policyChanges))
	for i, c := range policyChanges {
		after := before
		c.edit(&after)
		changed[i], touch[i] = engineOf(f, after), Touched(before, after, species)
	}
	f.Add([]byte{})
	f.Add([]byte("\x09\x00an ordinary street tree, planted some years ago and trained twice since, under a wire"))
	f.Add([]byte("\x11\x00\x00\x00\x00\x05\x00\x00\x00\x07\x10\x33\x70\x01\x00\x20\x00\x01\x00\x40\x01\x02\x00\xff\x1f\x02\x00\x00\x10\x01\x00\x00\x60\x02"))
	f.Fuzz(func(t *testing.T, b []byte) {
		in := &bytesOf{b}
		tree, site := in.tree(codes), in.site()
		today := day("2026-01-01") + scheduler.Date(in.next(3650))
		want := old.Visits(tree, site, today)
		var x, y []byte
		for i := range changed {
			at := &touch[i]
			if at.All || slices.Contains(at.Species, tree.Species) || slices.Contains(at.Streets, site.StreetClass) {
				continue
			}
			got := changed[i].Visits(tree, site, today)
			if len(got) != len(want) {
				t.Fatalf("%s: %d visits, before %d", policyChanges[i].name, len(got), len(want))
			}
			for j := range got {
				if got[j].Digest(&x) != want[j].Digest(&y) {
					t.Fatalf("%s: %s", policyChanges[i].name, cmp.Diff(want[j], got[j]))
				}
			}
		}
	})
}

func presetPolicy(t testing.TB, name string) scheduler.Policy {
	t.Helper()
	b, err := scheduler.Preset(name)
	if err != nil {
		t.Fatal(err)
	}
	p, err := scheduler.ParsePolicy(b)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func speciesTable(t testing.TB) []scheduler.Species {
	t.Helper()
	list, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	return list
}
