package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// evenPace is a city that trains every species at its stages' own intervals.
func evenPace(p *scheduler.Policy) { p.Training.GrowthSeasons = map[string]int{} }

// both makes two edits of a policy; nil is none.
func both(a, b func(*scheduler.Policy)) func(*scheduler.Policy) {
	return func(p *scheduler.Policy) {
		for _, edit := range []func(*scheduler.Policy){a, b} {
			if edit != nil {
				edit(p)
			}
		}
	}
}

// A ginkgo is slow, a littleleaf linden moderate and a red maple fast (growth
// classes from memory). The Lower Midwest's stages have 3, 3 and 4 seasons;
// within 2 to 5 the shift is this project's own rule.
func TestIntervalByGrowth(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Training.GrowthSeasons = map[string]int{"slow": 1, "fast": -1} })
	for _, c := range []struct {
		species string
		stage   scheduler.Stage
		due     string
		says    string
	}{
		{"GIBI", scheduler.StageLeader, "2029-11-01", "Leader stage, slow grower: due 4 growing seasons"},
		{"GIBI", scheduler.StageRaising, "2030-11-01", "slow grower: due 5 growing seasons"},
		{"TICO", scheduler.StageLeader, "2028-11-01", "Leader stage: due 3 growing seasons"},
		{"ACRU", scheduler.StageLeader, "2027-11-01", "Leader stage, fast grower: due 2 growing seasons"},
		{"ACRU", scheduler.StageRaising, "2028-11-01", "fast grower: due 3 growing seasons"},
		{"NONE", scheduler.StageLeader, "2028-11-01", "Leader stage: due 3 growing seasons"}, // a species in no table
	} {
		tree := maple()
		tree.Species, tree.Stage = c.species, c.stage
		v := ruled(e.Visits(tree, apart(), day("2026-11-25")), "training.interval")
		if v == nil {
			t.Fatalf("%s, %s: no training", c.species, c.stage)
		}
		if text := reasonOf(*v, "training.interval"); v.Window.Due != day(c.due) || !strings.Contains(text, c.says) {
			t.Errorf("%s, %s: due %s: %s", c.species, c.stage, v.Window.Due, text)
		}
		for _, r := range v.Reasons {
			if own := strings.Contains(r.Source, "project's own rule"); r.Rule == "training.interval" && own != strings.Contains(c.says, "grower") {
				t.Errorf("%s, %s: source %q", c.species, c.stage, r.Source)
			}
		}
	}
}

// Where winters do not stop growth, a caliper of three inches asks for no three
// years of roots.
func TestEstablishmentWhereWintersAreWarm(t *testing.T) {
	for _, c := range []struct{ preset, due, says string }{
		{"central-florida", "2027", "where winters do not stop growth"},
		{"upper-midwest", "2029", "about one for each inch of caliper"},
	} {
		e := presetEngine(t, c.preset, nil)
		tree := bare("QUVI")
		tree.Planted, tree.Precision, tree.Caliper = day("2027-03-01"), scheduler.PreciseDay, geo.Inches(3)
		v := ruled(e.Visits(tree, apart(), day("2027-04-01")), "training.first")
		if v == nil || !strings.HasPrefix(v.Window.Due.String(), c.due) || !strings.Contains(reasonOf(*v, "training.first"), c.says) {
			t.Errorf("%s: %+v", c.preset, v)
		}
	}
}

// IFAS EP276 takes 25 % at planting, 40 and 35 % later. Without a record of the
// planting's pruning the first visit takes the first of them, and says so.
func TestFirstVisitNamesItsDose(t *testing.T) {
	dead := func(p *scheduler.Policy) { p.Training.Structure.PlantingYear = scheduler.PlantingDead }
	flat := func(p *scheduler.Policy) { p.Training.DoseByVisit = nil }
	for _, c := range []struct {
		name string
		edit func(*scheduler.Policy)
		says bool
	}{{"by table", nil, true}, {"broken and dead", dead, false}, {"flat", flat, false}} {
		e := presetEngine(t, "northeast", c.edit)
		v := ruled(e.Visits(planted("2026-11-10", "ACRU"), apart(), day("2026-12-01")), "training.first")
		if v == nil {
			t.Fatalf("%s: no first visit", c.name)
		}
		if text := reasonOf(*v, "training.first_dose"); (text != "") != c.says || (c.says && !strings.Contains(text, "25 %")) {
			t.Errorf("%s: %q", c.name, text)
		}
	}
}
