package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// A removal of 30 % at year 2 keeps to IFAS EP276 (40 % at the visit two years
// after planting) and breaks a flat rule of a quarter (Univ. of Minnesota Extension).
func TestThirtyPercentAtYearTwo(t *testing.T) {
	tree := bare("QUVI")
	tree.Planted, tree.Caliper, tree.Stage = day("2026-01-10"), 50, scheduler.StageLeader
	tree.LastTraining, tree.LastVisit = day("2026-01-10"), day("2026-01-10") // trained at planting
	for _, tc := range []struct {
		name    string
		byVisit []int
		limit   int
		keeps   bool
	}{{"IFAS EP276", []int{25, 40, 35}, 40, true}, {"flat quarter", nil, 25, false}} {
		e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Training.DoseByVisit = tc.byVisit })
		d := draft{e: e, t: &tree, p: e.species["QUVI"], stage: tree.Stage}
		d.proj = d.p.curve.Project(tree, 0)
		left, _ := d.doseOn(day("2028-01-10"))
		if left != tc.limit || (30 <= left) != tc.keeps {
			t.Errorf("%s: at most %d %%, want %d", tc.name, left, tc.limit)
		}
		took := tree
		took.DoseSeason, took.DoseUsed = 2028, 30
		d.t = &took
		if left, used := d.doseOn(day("2028-03-01")); used != 30 || left != max(0, tc.limit-30) {
			t.Errorf("%s: %d %% left after 30", tc.name, left)
		}
		if left, used := d.doseOn(day("2028-12-01")); used != 0 || left != tc.limit {
			t.Errorf("%s: the next growing season has %d %%", tc.name, left)
		}
	}
}

func TestDoseText(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Training.Structure.LeaderTakePct = 40 })
	tree := maple()
	v := only(t, e.Visits(tree, apart(), day("2028-11-25")))
	if !strings.HasSuffix(v.Limits[0], " %, and 40 % of the foliage of any one leader or side; dead wood does not count; stop there.") {
		t.Errorf("%q", v.Limits[0])
	}
}

// Palms give dead fronds and fruit, a crown under stress dead wood, and so does
// a tree in its planting year where the policy says so (common practice).
func TestNoLiveCut(t *testing.T) {
	planted := bare("ACRU")
	planted.Planted, planted.Precision, planted.Caliper, planted.Stage = day("2026-11-10"), scheduler.PreciseDay, geo.Inches(2), scheduler.StageEstablishing
	palm := maple()
	palm.Species = "SAPA"
	poor := maple()
	poor.Vigour = scheduler.VigourPoor
	for _, tc := range []struct {
		name string
		year scheduler.PlantingYear
		tree scheduler.Tree
		on   string
		want int
	}{
		{"palm", "", palm, "2028-11-01", 0},
		{"under stress", "", poor, "2028-11-01", 0},
		{"planting year by the table", scheduler.PlantingByTable, planted, "2027-02-01", 25},
		{"planting year, dead only", scheduler.PlantingDead, planted, "2027-02-01", 0},
		{"planting year, dead only, in leaf", scheduler.PlantingDead, planted, "2027-08-01", 0},
		{"the winter after", scheduler.PlantingDead, planted, "2027-11-01", 25},
	} {
		e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Training.Structure.PlantingYear = tc.year })
		site := apart()
		d := draft{e: e, t: &tc.tree, s: &site, p: e.species[tc.tree.Species], stage: tc.tree.Stage}
		d.proj = d.p.curve.Project(tc.tree, 0)
		if left, _ := d.doseOn(day(tc.on)); left != tc.want {
			t.Errorf("%s: %d %%, want %d", tc.name, left, tc.want)
		}
		d.add(task{kind: scheduler.WalkClearance})
		tr := trip{n: 1}
		if work := d.work(&tr, day(tc.on)); tc.year != "" && (len(work) > 0 && strings.HasPrefix(work[0], "Planting year: take broken and dead wood only")) != (tc.want == 0) {
			t.Errorf("%s: %q", tc.name, work)
		}
	}
}
