package due

import (
	"slices"
	"testing"

	"limbround/scheduler"
)

// A linden at a corner has its sprouts taken every June (common practice), on
// the trip of its yearly look in leaf.
func TestSproutsEveryJune(t *testing.T) {
	e := presetEngine(t, "northeast", nil)
	tree := planted("2027-01-05", "TICO")
	site := apart()
	junes := 0
	for _, v := range e.Calendar(tree, site, day("2027-01-10"), 14) {
		if v.Kind != scheduler.BasalSprouts {
			if slices.Contains(v.Kinds, scheduler.BasalSprouts) && v.Window.Due.Month() != 6 {
				t.Errorf("sprouts moved to %s", v.Window.Due)
			}
			continue
		}
		junes++
		if v.Window.Due.Month() != 6 || v.Dose != 0 {
			t.Errorf("due %s, dose %d", v.Window.Due, v.Dose)
		}
	}
	if junes != 10 {
		t.Errorf("%d Junes in the first ten years", junes)
	}
	site.InSight = true
	together := false
	for _, v := range e.Calendar(tree, site, day("2027-01-10"), 6) {
		together = together || slices.Contains(v.Kinds, scheduler.SightClearance) && slices.Contains(v.Kinds, scheduler.BasalSprouts)
	}
	if !together {
		t.Error("the look in leaf and the sprouts are never one trip")
	}
}

// Where the agency allows work from February to early April only, sprouts are
// taken then; done, the next are a year later.
func TestSproutsInAClosedSeason(t *testing.T) {
	e := presetEngine(t, "northeast", nil)
	tree := planted("2027-01-05", "MALUS")
	v := ruled(e.Visits(tree, apart(), day("2027-05-01")), "sprouts.yearly")
	if v == nil || e.species["MALUS"].closing(scheduler.BasalSprouts, v.Window.Due) != nil || v.Window.Due.Month() > 4 {
		t.Fatalf("%+v", v)
	}
	recorded(t, &tree, "2027-10-10", scheduler.Establishment, scheduler.Inspection)
	recorded(t, &tree, "2028-02-10", scheduler.BasalSprouts)
	if v := ruled(e.Visits(tree, apart(), day("2028-02-11")), "sprouts.yearly"); v == nil || v.Window.Due.Year() != 2029 {
		t.Errorf("%+v", v)
	}
	maple := planted("2027-01-05", "ACRU")
	if v := ruled(e.Visits(maple, apart(), day("2027-05-01")), "sprouts.yearly"); v != nil {
		t.Errorf("a red maple makes none: %+v", v)
	}
}
