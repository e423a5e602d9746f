package due

import (
	"strings"
	"testing"

	"limbround/scheduler"
)

// habitTrips are the trips of twenty years of a tree of a growth habit, on a
// street with a road and a walk.
func habitTrips(t *testing.T, habit scheduler.GrowthHabit) []scheduler.Visit {
	t.Helper()
	e := presetEngine(t, "lower-midwest", nil)
	p := *e.species["ACRU"] // one curve for all: what differs is the habit
	p.species.Code, p.species.Habit = "HABIT", habit
	e.species["HABIT"] = &p
	tree := maple()
	tree.Species = "HABIT"
	if habit == scheduler.Pollard || habit == scheduler.Palm {
		tree.LastRotation = tree.LastTraining
	}
	trips := e.Calendar(tree, parkingLane(street()), day("2026-11-25"), 20)
	if len(trips) < 3 {
		t.Fatalf("%s: %d trips in twenty years", habit, len(trips))
	}
	return trips
}

// never holds the objectives and reasons of all trips against words that the habit forbids.
func never(t *testing.T, habit scheduler.GrowthHabit, words ...string) {
	t.Helper()
	for _, v := range habitTrips(t, habit) {
		all := strings.ToLower(strings.Join(v.Objectives, "\n"))
		for _, w := range append(words, "choose one leader", "competing leader", "subordinat") {
			if strings.Contains(all, w) {
				t.Errorf("%s: %q in %q", habit, w, v.Objectives)
			}
		}
		for _, r := range []string{"training.reach", "training.permanent_low"} {
			if text := reasonOf(v, r); text != "" {
				t.Errorf("%s: %s", habit, text)
			}
		}
		if limits := strings.Join(v.Limits, "\n"); strings.Contains(limits, "Lowest permanent branch") {
			t.Errorf("%s: %q", habit, v.Limits)
		}
	}
}

func TestPollardCycleIsNeverSkipped(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	cycle := e.policy.Rotation.Classes[0].Years
	last := day("2026-01-14")
	for _, v := range habitTrips(t, scheduler.Pollard) {
		if v.Kind != scheduler.RotationPrune {
			continue
		}
		years := e.policy.Rotation.Classes[len(e.policy.Rotation.Classes)-1].Years
		if gap := last.YearsTo(v.Window.Latest); gap > float64(max(cycle, years))+1.3 {
			t.Errorf("%.1f years from %s to %s", gap, last, v.Window.Latest)
		}
		if v.Window.Latest > v.Window.Due.AddMonths(5) {
			t.Errorf("a pollard's prune has no year of grace: %+v", v.Window)
		}
		last = v.Window.Due
	}
	never(t, scheduler.Pollard, "reduce every branch")
}

func TestPalmGivesNothingGreen(t *testing.T) {
	for _, v := range habitTrips(t, scheduler.Palm) {
		if v.Dose != 0 {
			t.Errorf("%s takes %d %% of the live crown", v.Kind, v.Dose)
		}
	}
	never(t, scheduler.Palm, "scaffold", "temporary")
}

func TestConiferKeepsItsLeader(t *testing.T) {
	said := false
	for _, v := range habitTrips(t, scheduler.Conifer) {
		said = said || strings.Contains(strings.Join(v.Objectives, "\n"), "Never cut the leader")
	}
	if !said {
		t.Error("no visit says never to cut the leader")
	}
	never(t, scheduler.Conifer, "reduce the leader", "top")
}

func TestColumnarKeepsItsStems(t *testing.T) {
	never(t, scheduler.Columnar, "space permanent branches")
}

func TestWeepingIsNotThinnedInside(t *testing.T) {
	never(t, scheduler.Weeping, "space permanent branches", "reduce every branch")
}

func TestMultiStemTopsAreNotCutBack(t *testing.T) {
	never(t, scheduler.MultiStem, "reduce every branch", "cut the tops back to")
}

func TestSmallOrnamentalKeepsTwoTops(t *testing.T) {
	never(t, scheduler.Small, "reduce every branch", "remove the weaker")
}
