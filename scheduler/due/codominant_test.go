package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// Codominant stems with included bark by size (common practice): small is
// removed or reduced, middle reduced, held and looked at each time, large
// referred, with no cut of ours.
func TestCodominantBySize(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	cases := []struct {
		name      string
		species   string
		mm        geo.Length
		intent    scheduler.Intent
		reduced   string
		bark      bool
		rule      string
		objective string
	}{
		{"small", "ACRU", 20, scheduler.RemoveLater, "", true, "", "Remove A"},
		{"middle", "ACRU", 60, scheduler.RemoveLater, "", true, "training.hold_union", "Reduce again A"},
		{"middle, undecided", "ACRU", 60, scheduler.DecideNext, "", true, "training.hold_union", "Reduce again A"},
		{"middle without bark", "ACRU", 60, scheduler.RemoveLater, "", false, "training.never_small", "Decide on A"},
		{"large", "ACRU", 110, scheduler.RemoveLater, "", true, "training.assess", "Do not cut A"},
		{"large, only watched", "ACRU", 110, scheduler.WatchOnly, "", true, "training.assess", "Do not cut A"},
		{"large, found to be held", "ACRU", 110, scheduler.HoldTier, "", true, "training.assess", "Do not cut A"},
		{"large, held for years", "ACRU", 110, scheduler.HoldTier, "2026-01-14", true, "training.assess", "Reduce again A"},
		{"weak wood: large earlier", "ACSA1", 60, scheduler.RemoveLater, "", true, "training.assess", "Do not cut A"},
	}
	for _, tc := range cases {
		tree := maple()
		tree.Species, tree.DBH, tree.Height = tc.species, 160, 4000
		w := item("A", "codominant stem", tc.mm, tc.mm+10, tc.intent, tc.reduced)
		w.IncludedBark = tc.bark
		tree.Watch = []scheduler.WatchItem{w}
		v := trainingOf(t, e.Visits(tree, apart(), day("2026-11-25")))
		if tc.rule != "" && reasonOf(v, tc.rule) == "" {
			t.Errorf("%s: reasons %+v", tc.name, v.Reasons)
		}
		if !strings.HasPrefix(v.Objectives[0], tc.objective) {
			t.Errorf("%s: %q", tc.name, v.Objectives)
		}
		if large := tc.rule == "training.assess"; large != strings.Contains(v.Objectives[0], "qualified assessor") {
			t.Errorf("%s: %q", tc.name, v.Objectives[0])
		}
	}
}

// A held stem is reduced at every visit, but of one leader no more goes in a
// growing season than the policy's share.
func TestHeldStemIsReducedOncePerSeason(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree := maple()
	tree.Watch = []scheduler.WatchItem{item("A", "competing top", 40, 60, scheduler.HoldTier, "2026-01-14")}
	for i, v := range e.Calendar(tree, apart(), day("2026-11-25"), 15) {
		if v.Dose > 0 && !strings.HasPrefix(v.Objectives[0], "Reduce again A") {
			t.Errorf("trip %d: %q", i+1, v.Objectives)
		}
	}
	site := apart()
	d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"], stage: tree.Stage}
	d.proj = d.p.curve.Project(tree, 0)
	for on, leave := range map[string]bool{"2026-02-20": true, "2026-08-01": true, "2026-11-20": false} {
		p := d.itemObjective(&tree.Watch[0], day(on))
		text := p.in(string(d.buf))
		if strings.HasPrefix(text, "Leave A") != leave || (leave && !strings.Contains(text, "no more than 50 % of the foliage")) {
			t.Errorf("%s: %q", on, text)
		}
	}
}

// A removal waits a full growing season and for a ratio of one half, in the
// model of the calendar as on the card.
func TestRemovalWaitsForSeasonAndRatio(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, tc := range []struct {
		name    string
		mm      geo.Length
		stem    geo.Length
		reduced string
		on      string
		gone    bool
	}{
		{"waited, slim", 30, 80, "2026-01-14", "2026-12-01", true},
		{"half of its stem", 35, 70, "2026-01-14", "2026-12-01", true},
		{"more than half", 38, 70, "2026-01-14", "2026-12-01", false},
		{"the season was not full", 30, 80, "2026-06-14", "2026-12-01", false},
		{"one season later", 30, 80, "2026-06-14", "2027-12-01", true},
	} {
		tree, site := maple(), apart()
		w := item("A", "competing leader", tc.mm, tc.stem, scheduler.RemoveLater, tc.reduced)
		w.SeenOn = day(tc.on) // as measured on the day
		tree.Watch = []scheduler.WatchItem{w}
		d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"], stage: tree.Stage}
		d.proj = d.p.curve.Project(tree, 0)
		d.watchDone(day(tc.on))
		if gone := len(tree.Watch) == 0; gone != tc.gone {
			t.Errorf("%s: gone %v", tc.name, gone)
		}
		if !tc.gone && tc.reduced == "2026-06-14" && tree.Watch[0].ReducedOn != day(tc.reduced) {
			t.Errorf("%s: reduced again on %s, which starts the wait anew", tc.name, tree.Watch[0].ReducedOn)
		}
	}
}
