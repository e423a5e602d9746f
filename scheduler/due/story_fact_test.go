package due

import (
	"strings"
	"testing"

	"limbround/scheduler"
)

// tripsOf runs a story's calendar.
func tripsOf(t *testing.T, name string) []scheduler.Visit {
	t.Helper()
	for _, s := range stories {
		if s.name == name {
			return presetEngine(t, s.preset, s.edit).Calendar(s.tree(), s.site(), day(s.today), 20)
		}
	}
	t.Fatalf("no story %s", name)
	return nil
}

// TestStoryFacts checks what must hold in the stories whatever the figures of a preset.
func TestStoryFacts(t *testing.T) {
	for _, s := range stories {
		pruning, last := 0, scheduler.Date(0)
		for _, v := range tripsOf(t, s.name) {
			if v.Window.Due < last {
				t.Errorf("%s: trips out of order", s.name)
			}
			last = v.Window.Due
			if v.Dose > 0 {
				pruning++
			}
		}
		if pruning < 5 || pruning > 9 {
			t.Errorf("%s: %d pruning visits in twenty years", s.name, pruning)
		}
	}
	for _, v := range tripsOf(t, "pin_oak_closed_season") {
		if m := v.Window.Due.Month(); v.Dose > 0 && m >= 4 && m <= 7 {
			t.Errorf("oak: a pruning visit is due on %s, in the closed season", v.Window.Due)
		}
	}
	for i, v := range tripsOf(t, "crabapple_two_tops_bus_lane") {
		if v.Kind == scheduler.BasalSprouts {
			continue
		}
		if !strings.Contains(strings.Join(v.Objectives, "\n"), "Reduce again B (competing top") {
			t.Errorf("crabapple, trip %d: the held stem is not re-reduced: %q", i+1, v.Objectives)
		}
		if reasonOf(v, "clearance.not_reachable") == "" {
			t.Errorf("crabapple, trip %d: the site is not listed for replacement", i+1)
		}
	}
	zelkova := tripsOf(t, "zelkova_after_first_visit")
	if first := strings.Join(zelkova[0].Objectives, "\n"); !strings.Contains(first, "Remove A") || !strings.Contains(first, "B (") || !strings.Contains(first, "hold C") {
		t.Errorf("zelkova: the next visit does not carry A, B and C: %q", zelkova[0].Objectives)
	}
	for i, v := range zelkova[1:] {
		if !strings.Contains(strings.Join(v.Objectives, "\n"), "Reduce again C") {
			t.Errorf("zelkova, trip %d: C is no longer held: %q", i+2, v.Objectives)
		}
	}
	for _, name := range []string{"callery_pear_no_date", "zelkova_never_trained"} {
		if v := tripsOf(t, name)[0]; v.State != scheduler.NotAssessed {
			t.Errorf("%s: no record, but %s", name, v.State)
		}
	}
}
