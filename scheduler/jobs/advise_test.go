package jobs

import (
	"testing"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/due"
)

// What crew leaders write beside a letter, and the role that it means.
func TestWatchItemsFillTheBranch(t *testing.T) {
	for what, role := range map[string]due.BranchRole{
		"competing leader": due.CompetingLeader, "Codominant stem": due.CompetingLeader, "competing top": due.CompetingTop, "temporary branch": due.TemporaryBranch,
		"crossing": due.CrossingBranch, "rubs on the scaffold": due.CrossingBranch, "presses on the union": due.PressingBranch, "stub": due.Stub,
		"basal sprouts": due.BasalSprout, "dead limb": due.DeadBranch, "broken end": due.BrokenBranch, "lowest permanent branch": due.PermanentBranch,
		"long end": due.EndWeight, "lane side": due.LaneSide, "walk side": due.WalkSide, "union": "", "": "",
	} {
		w := scheduler.WatchItem{What: what, Diameter: 40, StemDiameter: geo.None, Height: geo.None, SeenOn: scheduler.NewDate(2026, 1, 9)}
		var q due.Branch
		if ok := q.Fill(&w); q.Role != role || ok != (role != "") || q.Diameter != 40 || q.Stem != 0 || q.Height != 0 || q.SizedOn != w.SeenOn {
			t.Errorf("%q: %t %+v, want %q", what, ok, q, role)
		}
	}
	w := scheduler.WatchItem{What: "union", Letter: "A", Diameter: 40, IncludedBark: true, ReducedOn: 700000, Intent: scheduler.HoldTier, Side: scheduler.SideRoad}
	q := due.Branch{Role: due.CompetingTop, Diameter: 44, Side: scheduler.SideWalk}
	if !q.Fill(&w) || q.Role != due.CompetingTop || q.Diameter != 44 || !q.SizedOn.IsZero() || q.Side != scheduler.SideWalk || !q.IncludedBark || q.ReducedOn != 700000 || q.Intent != scheduler.HoldTier {
		t.Errorf("what the question states does not stand: %+v", q)
	}
}
