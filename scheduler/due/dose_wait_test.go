package due

import (
	"testing"

	"limbround/scheduler"
)

// A side takes live crown as the training does: what may wait, waits for the
// next growing season's; what the law wants does not.
func TestSidesWaitForTheDose(t *testing.T) {
	e := presetEngine(t, "central-florida", func(p *scheduler.Policy) { p.Training.DoseByVisit, p.Training.FlatDose = nil, 25 })
	for _, c := range []struct {
		name string
		used int
		base string // of the road side: low enough for the law, or only for the next years
		from string
	}{
		{"used up", 25, "may wait", "2032-12-01"},
		{"most of it used up", 16, "may wait", "2032-12-01"},
		{"enough is left", 10, "may wait", "2031-12-01"},
		{"the law does not wait", 25, "low", "2031-12-02"},
	} {
		tree := plantedOn("QUVI", "2010-12-01")
		tree.DBH, tree.Height, tree.Crown, tree.MeasuredOn = 350, 11000, 9000, day("2031-12-02")
		tree.LastTraining, tree.LastVisit, tree.Stage = day("2028-12-01"), day("2031-12-02"), scheduler.StageRaising
		tree.BaseRoad, tree.BaseWalk, tree.BaseOn = 4300, 3900, day("2031-12-02")
		if c.base == "low" {
			tree.BaseRoad = 2600
		}
		tree.DoseSeason, tree.DoseUsed = 2032, c.used
		var got *scheduler.Window
		for _, v := range e.Visits(tree, street(), day("2031-12-02")) {
			if hasAny(&v, []scheduler.WorkKind{scheduler.RoadClearance}) {
				got = &v.Window
			}
		}
		if got == nil || got.Due < day(c.from) || (c.from < "2032" && got.Earliest >= day("2032-12-01")) {
			t.Errorf("%s: %+v, want from %s", c.name, got, c.from)
		}
	}
}
