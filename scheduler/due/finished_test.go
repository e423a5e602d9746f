package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// A record may say that training is finished; the rules ask for its facts.
func TestTrainingEndsByRecordedFacts(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	finished := func() scheduler.Tree {
		tree := maple()
		tree.Stage, tree.Planted, tree.DBH, tree.Height, tree.Crown = scheduler.StageRotation, day("2008-11-10"), 240, 13000, 6000
		tree.BaseRoad, tree.BaseWalk, tree.BaseOn, tree.Permanent = 4700, 4700, day("2026-01-14"), 5000
		return tree
	}
	competing := item("A", "competing leader", 30, 90, scheduler.RemoveLater, "")
	held := item("B", "competing top", 50, 60, scheduler.HoldTier, "2026-01-14")
	cases := []struct {
		name string
		edit func(*scheduler.Tree)
		kind scheduler.WorkKind
		says string
	}{
		{"all recorded", func(*scheduler.Tree) {}, scheduler.RotationPrune, ""},
		{"one stem held for good", func(t *scheduler.Tree) { t.Watch = []scheduler.WatchItem{held} }, scheduler.RotationPrune, ""},
		{"a competing leader is left", func(t *scheduler.Tree) { t.Watch = []scheduler.WatchItem{competing} }, scheduler.Training, "the leader"},
		{"no permanent branch", func(t *scheduler.Tree) { t.Permanent = geo.None }, scheduler.Training, "permanent branch"},
		{"permanent branch too low", func(t *scheduler.Tree) { t.Permanent = 3000 }, scheduler.Training, "permanent branch"},
		{"road not raised", func(t *scheduler.Tree) { t.BaseRoad = 2000 }, scheduler.Training, "over the road"},
		{"walk not recorded", func(t *scheduler.Tree) { t.BaseWalk = geo.None }, scheduler.Training, "over the walk"},
		{"too old to be trained", func(t *scheduler.Tree) { t.Planted, t.Permanent = day("1990-01-01"), geo.None }, scheduler.RotationPrune, ""},
		{"of unknown age", func(t *scheduler.Tree) { t.Planted, t.DBH, t.Height, t.Permanent = 0, geo.None, geo.None, geo.None }, scheduler.RotationPrune, ""},
		{"a small ornamental needs neither leader nor permanent branch", func(t *scheduler.Tree) { t.Species, t.Permanent = "MALUS", geo.None }, scheduler.RotationPrune, ""},
	}
	for _, tc := range cases {
		tree := finished()
		tc.edit(&tree)
		found := false
		for _, v := range e.Visits(tree, street(), day("2026-11-25")) {
			for _, k := range v.Kinds {
				found = found || k == tc.kind
				if k != tc.kind && (k == scheduler.Training || k == scheduler.RotationPrune) {
					t.Errorf("%s: %s", tc.name, k)
				}
			}
			if text := reasonOf(v, "training.unfinished"); text != "" && !strings.Contains(text, tc.says) {
				t.Errorf("%s: %s", tc.name, text)
			}
		}
		if !found {
			t.Errorf("%s: no %s", tc.name, tc.kind)
		}
	}
}

// A stump left by a removal in winter is ground before the spring's planting.
func TestStumpDoesNotSkipAWinter(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, tc := range []struct{ removed, due, latest string }{
		{"2026-12-10", "2026-12-10", "2027-03-31"},
		{"2026-06-10", "2026-11-01", "2027-03-31"},
		{"2026-10-20", "2026-11-01", "2027-03-31"},
		{"2027-03-20", "2027-03-20", "2028-03-31"}, // too late in the winter to count on it
	} {
		tree := maple()
		tree.State, tree.LastVisit = scheduler.Stump, day(tc.removed)
		v := only(t, e.Visits(tree, apart(), day(tc.removed)))
		if v.Window.Due != day(tc.due) || v.Window.Latest != day(tc.latest) {
			t.Errorf("removed on %s: %+v", tc.removed, v.Window)
		}
	}
}

// A tree seen and not trained is due in the next dormant season that begins.
func TestUntrainedTreeIsDueInTheNextWinter(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for seen, due := range map[string]string{"2026-06-10": "2026-11-01", "2026-09-20": "2026-11-01", "2026-12-10": "2027-11-01"} {
		tree := maple()
		tree.LastTraining, tree.LastVisit = 0, day(seen)
		if v := only(t, e.Visits(tree, apart(), day(seen)+1)); v.Window.Due != day(due) {
			t.Errorf("seen on %s: due %s, want %s", seen, v.Window.Due, due)
		}
	}
}

// The day a new version takes effect moves no window of a tree that waits.
func TestNewVersionKeepsFirstLooks(t *testing.T) {
	first := presetPolicy(t, "lower-midwest")
	next := first
	next.Effective = first.Effective.AddYears(3)
	next.CountFrom(first.Effective)
	a, b := engineOf(t, first), engineOf(t, next)
	if touch := Touched(first, next, speciesTable(t)); touch.All || len(touch.Species) > 0 || len(touch.Streets) > 0 {
		t.Errorf("the day of effect alone touches %+v", touch)
	}
	fresh := bare("ACRU")
	fresh.Planted, fresh.Precision, fresh.Caliper = day("2026-03-01"), scheduler.PreciseDay, 50
	undated := bare("QUPA")
	undated.DBH = 200
	for i, tree := range []scheduler.Tree{bare("ACRU"), fresh, undated} {
		was, is := a.Visits(tree, street(), day("2030-06-01")), b.Visits(tree, street(), day("2030-06-01"))
		if len(was) != len(is) {
			t.Fatalf("tree %d: %d visits, then %d", i, len(was), len(is))
		}
		for j := range is {
			if is[j].Window != was[j].Window || is[j].State != was[j].State {
				t.Errorf("tree %d: %s %+v becomes %s %+v", i, was[j].State, was[j].Window, is[j].State, is[j].Window)
			}
		}
	}
}

// The years planned for training end it only for a tree that nobody put into a
// stage: a recorded stage is left by its facts.
func TestEndYearsNeedTheFacts(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	old := func(stage scheduler.Stage) scheduler.Tree {
		tree := maple()
		tree.Stage, tree.Planted, tree.DBH, tree.Height, tree.Crown = stage, day("1996-11-10"), 300, 14000, 7000
		tree.BaseRoad, tree.BaseWalk, tree.BaseOn, tree.Permanent = 4700, 4700, day("2026-01-14"), 5000
		return tree
	}
	low := func(t *scheduler.Tree) { t.BaseWalk = 1500 }
	under := func(s *scheduler.Site) { s.WireClass, s.ToWire, s.WireHeight = scheduler.WirePrimary, 0, 9000 }
	for _, c := range []struct {
		name  string
		stage scheduler.Stage
		edit  func(*scheduler.Tree)
		site  func(*scheduler.Site)
		kind  scheduler.WorkKind
		rule  string
		says  string
	}{
		{"raising, all reached", scheduler.StageRaising, nil, nil, scheduler.RotationPrune, "training.end", "are reached"},
		{"raising, the walk too low", scheduler.StageRaising, low, nil, scheduler.Training, "training.unfinished", "Beyond the 25 years planned for training, but the height over the walk"},
		{"leader, the walk too low", scheduler.StageLeader, low, nil, scheduler.Training, "training.unfinished", "the height over the walk"},
		{"no stage, the walk too low", scheduler.StageUnknown, low, nil, scheduler.RotationPrune, "training.end", "the height over the walk is not recorded as reached"},
		{"a crabapple is never raised over the road", scheduler.StageRaising, func(t *scheduler.Tree) { t.Species, t.BaseRoad = "MALUS", 1500 }, nil, scheduler.RotationPrune, "training.end", "are reached"},
		{"nor is a tree held under a line", scheduler.StageRaising, func(t *scheduler.Tree) { t.BaseRoad, t.BaseWalk, t.Permanent = 1500, 1500, geo.None }, under, scheduler.RotationPrune, "training.end", "are reached"},
	} {
		tree, site := old(c.stage), street()
		if c.edit != nil {
			c.edit(&tree)
		}
		if c.site != nil {
			c.site(&site)
		}
		v := ruled(e.Visits(tree, site, day("2026-11-25")), c.rule)
		if v == nil || !contains(v.Kinds, c.kind) || !strings.Contains(reasonOf(*v, c.rule), c.says) {
			t.Errorf("%s: %+v, want %s by %s saying %q", c.name, e.Visits(tree, site, day("2026-11-25")), c.kind, c.rule, c.says)
		}
	}
}

// The underside of a crown rises outward, so that beyond a parking lane a base
// below the act-at height leaves the lane free; but training goes on until the
// base itself stands at the legal height, 14 ft.
func TestRaisingEndsWhenTheSideStaysClear(t *testing.T) {
	e := presetEngine(t, "lower-midwest", evenPace)
	for _, c := range []struct {
		road geo.Length
		want scheduler.Stage
	}{{4300, scheduler.StageRotation}, {4000, scheduler.StageRaising}, {1800, scheduler.StageRaising}} {
		tree, site := maple(), parkingLane(street())
		tree.Stage, tree.DBH, tree.Height, tree.Crown = scheduler.StageRaising, 200, 9000, 7000
		tree.BaseRoad, tree.BaseWalk, tree.BaseOn, tree.Permanent = c.road, 3600, day("2026-01-14"), 5500
		d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"], stage: scheduler.StageRaising}
		d.proj = d.p.curve.Project(tree, 0)
		d.stageDone(day("2026-01-14"))
		if s, _ := d.roadSide(); tree.Stage != c.want || c.road >= s.env.high.ActAt {
			t.Errorf("a base of %s over the road, act at %s: %s, want %s", c.road, s.env.high.ActAt, tree.Stage, c.want)
		}
	}
}
