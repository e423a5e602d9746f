package due

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// maple is a red maple in the leader stage, trained in January 2026.
func maple() scheduler.Tree {
	t := bare("ACRU")
	t.Planted, t.Precision, t.Stage = day("2020-11-10"), scheduler.PreciseDay, scheduler.StageLeader
	t.DBH, t.MeasuredOn = 70, day("2026-01-14")
	t.LastTraining, t.LastVisit = day("2026-01-14"), day("2026-01-14")
	return t
}

// apart is a site with neither walk nor road near enough to matter.
func apart() scheduler.Site {
	s := street()
	s.ToCurb, s.ToLane, s.ToWalk = geo.None, geo.None, geo.None
	return s
}

// trainingOf is the training visit among visits that do not move it.
func trainingOf(t *testing.T, visits []scheduler.Visit) scheduler.Visit {
	t.Helper()
	for _, v := range visits {
		if v.Kind == scheduler.Training {
			return v
		}
	}
	t.Fatalf("no training visit: %+v", visits)
	return scheduler.Visit{}
}

func only(t *testing.T, visits []scheduler.Visit) scheduler.Visit {
	t.Helper()
	if len(visits) != 1 {
		t.Fatalf("want one visit, got %d: %+v", len(visits), visits)
	}
	return visits[0]
}

func reasonOf(v scheduler.Visit, rule string) string {
	for _, r := range v.Reasons {
		if r.Rule == rule {
			return r.Text
		}
	}
	return ""
}

func TestTrainingInterval(t *testing.T) {
	e := presetEngine(t, "lower-midwest", evenPace)
	v := only(t, e.Visits(maple(), apart(), day("2026-11-25")))
	want := scheduler.Window{Earliest: day("2027-11-01"), Due: day("2028-11-01"), Latest: day("2030-03-31")}
	if v.Window != want {
		t.Errorf("window %+v, want %+v", v.Window, want)
	}
	if v.Season != "dormant season 2028/29, 1 Nov to 31 Mar" {
		t.Errorf("season %q", v.Season)
	}
	if v.Kind != scheduler.Training || v.State != scheduler.Upcoming || v.Class != 4 || v.Skill != scheduler.Ground {
		t.Errorf("%s %s class %d %s", v.Kind, v.State, v.Class, v.Skill)
	}
	if got, want := reasonOf(v, "training.interval"), "Leader stage: due 3 growing seasons after the training visit of 14 Jan 2026, at the latest 31 Mar 2030."; got != want {
		t.Errorf("reason %q, want %q", got, want)
	}
}

func TestStatesFollowTheWindow(t *testing.T) {
	oak := func(p *scheduler.Policy) { p.Seasons.Special = []scheduler.Season{oakWisconsin()} }
	e := presetEngine(t, "lower-midwest", both(oak, evenPace))
	tree := maple()
	tree.Species = "QUPA"
	cases := []struct {
		today  string
		state  scheduler.VisitState
		closed string
	}{
		{"2027-12-01", scheduler.Upcoming, ""}, // may be pulled forward, but is not due
		{"2028-10-31", scheduler.Upcoming, ""},
		{"2028-11-01", scheduler.Due, ""},
		{"2029-06-01", scheduler.Due, ""},
		{"2030-03-31", scheduler.Due, ""},
		{"2030-04-01", scheduler.OverdueClosed, "2030-08-01"},
		{"2030-07-31", scheduler.OverdueClosed, "2030-08-01"},
		{"2030-08-01", scheduler.Overdue, ""},
	}
	for _, tc := range cases {
		v := only(t, e.Visits(tree, apart(), day(tc.today)))
		if v.State != tc.state || v.ClosedTo.String() != tc.closed {
			t.Errorf("%s: %s until %q, want %s until %q", tc.today, v.State, v.ClosedTo, tc.state, tc.closed)
		}
	}
}

func TestNothingChangesOvernight(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, s := range stories() {
		tree, site := s.tree(), s.site()
		a, b := e.Visits(tree, site, day("2027-01-20")), e.Visits(tree, site, day("2027-01-21"))
		for i := range b {
			b[i].AsOf = day("2027-01-20")
		}
		if diff := cmp.Diff(a, b); diff != "" {
			t.Errorf("%s: the visits of two days differ:\n%s", s.name, diff)
		}
	}
}

func TestWhoHasVisits(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	cases := []struct {
		name string
		edit func(*scheduler.Tree, *scheduler.Site)
		want string // kind, state, class of each visit
	}{
		{"removed", func(tr *scheduler.Tree, _ *scheduler.Site) { tr.State = scheduler.Removed }, ""},
		{"vacant", func(tr *scheduler.Tree, _ *scheduler.Site) { tr.State = scheduler.Vacant }, ""},
		{"private", func(_ *scheduler.Tree, s *scheduler.Site) { s.Owner = scheduler.OwnerPrivate }, "inspection not_ours 4"},
		{"shared", func(_ *scheduler.Tree, s *scheduler.Site) { s.Owner = scheduler.OwnerShared }, "training upcoming 4"},
		{"dead", func(tr *scheduler.Tree, s *scheduler.Site) { tr.State = scheduler.Dead; s.ToWalk = 1000 }, "removal overdue_workable 1"},
		{"dead, nothing in its reach", func(tr *scheduler.Tree, s *scheduler.Site) { tr.State = scheduler.Dead; s.ToWalk = 60000 }, "removal overdue_workable 2"},
		{"stump", func(tr *scheduler.Tree, _ *scheduler.Site) { tr.State = scheduler.Stump }, "stump overdue_workable 4"},
		{"unknown species", func(tr *scheduler.Tree, _ *scheduler.Site) { tr.Species = "XXXX" }, "training upcoming 4"},
		{"nothing known", func(tr *scheduler.Tree, _ *scheduler.Site) { *tr = bare("ACRU") }, "first_look not_assessed 4"},
		{"rotation", func(tr *scheduler.Tree, _ *scheduler.Site) {
			tr.Stage, tr.LastRotation = scheduler.StageRotation, day("2015-01-10")
		}, "rotation_prune overdue_workable 4"},
		{"palm", func(tr *scheduler.Tree, _ *scheduler.Site) { tr.Species = "SAPA" }, "rotation_prune upcoming 4"},
	}
	for _, tc := range cases {
		tree, site := maple(), apart()
		tc.edit(&tree, &site)
		got := ""
		for _, v := range e.Visits(tree, site, day("2026-11-25")) {
			got = strings.TrimSpace(got + " " + string(v.Kind) + " " + string(v.State) + " " + string(rune('0'+v.Class)))
			if v.State == scheduler.NotOurs && v.Minutes != 0 {
				t.Errorf("%s: %d minutes for a tree that is not ours", tc.name, v.Minutes)
			}
			if len(v.Reasons) == 0 || (v.State != scheduler.NotOurs && len(v.Objectives) == 0) {
				t.Errorf("%s: a visit without a reason or an objective: %+v", tc.name, v)
			}
		}
		if got != tc.want {
			t.Errorf("%s: %q, want %q", tc.name, got, tc.want)
		}
	}
}

func TestNoRecordIsNotOverdue(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	old := bare("ACRU")
	old.Planted = day("2010-03-01")
	fresh := bare("ACRU")
	fresh.Planted, fresh.Precision = day("2026-03-01"), scheduler.PreciseDay
	for _, today := range []string{"2026-11-25", "2031-06-01", "2040-06-01"} {
		if v := only(t, e.Visits(old, apart(), day(today))); v.State != scheduler.NotAssessed || v.Kind != scheduler.FirstLook {
			t.Errorf("%s: planted 2010, no record: %s %s", today, v.Kind, v.State)
		}
	}
	got := e.Visits(fresh, apart(), day("2031-06-01"))
	if len(got) == 0 || got[0].State != scheduler.Overdue {
		t.Errorf("planted under this policy and never visited: %+v", got)
	}
}

func TestFirstLooksSpread(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	count := map[int]int{}
	classes := [...]scheduler.StreetClass{scheduler.Arterial, scheduler.Collector, scheduler.Residential, scheduler.Alley}
	main := map[int]int{}
	for id := range int64(4000) {
		tree, site := bare("ACRU"), apart()
		tree.ID, tree.Ref = id+1, fmt.Sprintf("PL-%06d", id+1)
		tree.DBH, tree.MeasuredOn = geo.Length(50+id%600), day("2026-05-01")
		site.StreetClass = classes[id%4]
		v := only(t, e.Visits(tree, site, day("2026-11-25")))
		y := v.Window.Due.Year()
		count[y]++
		if site.StreetClass == scheduler.Arterial && tree.DBH > 400 {
			main[y]++
		}
		if again := only(t, e.Visits(tree, site, day("2028-11-25"))); again.Window != v.Window {
			t.Fatalf("tree %d moves from %v to %v", tree.ID, v.Window, again.Window)
		}
		tree.ID += 100_000
		if anew := only(t, e.Visits(tree, site, day("2026-11-25"))); anew.Window != v.Window {
			t.Fatalf("%s moves from %v to %v when it is brought in again", tree.Ref, v.Window, anew.Window)
		}
	}
	for y := 2026; y < 2030; y++ {
		if count[y] < 700 {
			t.Errorf("year %d sees %d of 4000", y, count[y])
		}
	}
	if len(count) != 4 || main[2026] < 2*main[2029] {
		t.Errorf("all %v, large trees on main streets %v", count, main)
	}
}

func TestPoorVigourTakesNoLiveCrown(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.Vigour = scheduler.VigourPoor
	v := only(t, e.Visits(tree, apart(), day("2028-11-25")))
	if v.Dose != 0 || v.Objectives[0] != stressWork[0] {
		t.Errorf("dose %d, objectives %q", v.Dose, v.Objectives)
	}
}

func TestDose(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	flat := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Training.DoseByVisit = nil })
	untrained := bare("QUVI")
	untrained.Planted, untrained.Caliper = day("2026-01-10"), 50
	last := func(on string) scheduler.Tree {
		tr := untrained
		tr.LastTraining, tr.LastVisit, tr.Stage = day(on), day(on), scheduler.StageLeader
		return tr
	}
	cases := []struct {
		name string
		e    *Engine
		tree scheduler.Tree
		want int
	}{
		{"first visit", e, untrained, 25},
		{"second visit", e, last("2026-01-10"), 40},
		{"third visit", e, last("2029-01-10"), 35},
		{"later: flat", e, last("2032-01-10"), 25},
		{"flat policy, second visit", flat, last("2026-01-10"), 25},
	}
	for _, tc := range cases {
		visits := tc.e.Visits(tc.tree, apart(), day("2027-06-01"))
		if v := visits[len(visits)-1]; v.Kind != scheduler.Training || v.Dose != tc.want {
			t.Errorf("%s: %s dose %d, want %d", tc.name, v.Kind, v.Dose, tc.want)
		}
	}
}

func TestDoseReachedWaitsForTheNextSeason(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.LastVisit, tree.DoseSeason, tree.DoseUsed = day("2029-01-20"), 2029, 30 // half done, dose reached
	v := only(t, e.Visits(tree, apart(), day("2029-02-01")))
	if v.Window.Earliest != day("2029-11-01") || v.State != scheduler.Upcoming || reasonOf(v, "training.dose") == "" {
		t.Errorf("%+v %s %v", v.Window, v.State, v.Reasons)
	}
	tree.DoseUsed = 5
	if v = only(t, e.Visits(tree, apart(), day("2029-02-01"))); v.State != scheduler.Due {
		t.Errorf("with %d %% used: %s", tree.DoseUsed, v.State)
	}
}

func TestPolicyThatMakesNoDatesIsRefused(t *testing.T) {
	b, _ := scheduler.Preset("lower-midwest")
	good, err := scheduler.ParsePolicy(b)
	if err != nil {
		t.Fatal(err)
	}
	species, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	m, err := growth.Load()
	if err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name string
		edit func(*scheduler.Policy)
	}{
		{"no dormant season", func(p *scheduler.Policy) { p.Seasons.Dormant = scheduler.MonthSpan{} }},
		{"a stage is missing", func(p *scheduler.Policy) { p.Training.Stages = p.Training.Stages[1:] }},
		{"no rotation", func(p *scheduler.Policy) { p.Rotation.Classes = nil }},
		{"closed all year", func(p *scheduler.Policy) {
			p.Seasons.Special = []scheduler.Season{{Kind: scheduler.SeasonClosed, From: md(1, 1), To: md(12, 31), Groups: []string{"oak"}}}
		}},
	}
	for _, tc := range cases {
		p := good
		tc.edit(&p)
		if _, err := New(p, m, species); scheduler.KindOf(err) != scheduler.Invalid {
			t.Errorf("%s: error %v, want kind invalid", tc.name, err)
		}
	}
}

// TestVisitsRunSideBySide: one engine serves several goroutines.
func TestVisitsRunSideBySide(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	var want [][]scheduler.Visit
	all := stories()
	for _, s := range all {
		want = append(want, e.Visits(s.tree(), s.site(), day("2027-01-20")))
	}
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for n := range 60 {
				i := n % len(all)
				got := e.Visits(all[i].tree(), all[i].site(), day("2027-01-20"))
				if diff := cmp.Diff(want[i], got); diff != "" {
					t.Errorf("%s: %s", all[i].name, diff)
					return
				}
			}
		})
	}
	wait.Wait()
}
