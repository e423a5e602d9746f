package due

import (
	"strings"
	"testing"

	"limbround/scheduler"
)

// Sources disagree about pin oak: Hauer, Hruska & Dawson 1994 rate it high for
// ice, Rhoades (Northeastern Naturalist 14:1) found it least damaged of all in
// the storms of 1994. A city takes the one that fits it.
func TestStormRatingsAndTheCitysOwn(t *testing.T) {
	rhoades := []scheduler.StormRatings{{
		Species: "QUPA", Ice: scheduler.RatingLow, LeafSnow: scheduler.RatingMedium, Source: "Rhoades, Northeastern Naturalist 14:1",
	}}
	ice := []scheduler.StormLoad{scheduler.LoadIce}
	for _, c := range []struct {
		name, species string
		rules         scheduler.StormRules
		high          string
		own           string
	}{
		{"rated high, with ice", "QUPA", scheduler.StormRules{Weather: ice}, "under ice,", ""},
		{"rated high, no such weather", "QUPA", scheduler.StormRules{}, "", ""},
		{"the city's own", "QUPA", scheduler.StormRules{Weather: ice, Ratings: rhoades}, "", "ice: low in place of high"},
		{"the city's own says it is the same", "GLTR", scheduler.StormRules{Weather: ice, Ratings: []scheduler.StormRatings{{Species: "GLTR", Ice: scheduler.RatingHigh, Source: "city"}}}, "under ice,", ""},
		{"another species'", "GLTR", scheduler.StormRules{Weather: ice, Ratings: rhoades}, "under ice,", ""},
		{"not rated, rated by the city", "PLAC", scheduler.StormRules{Weather: ice, Ratings: []scheduler.StormRatings{{Species: "PLAC", Ice: scheduler.RatingHigh, Source: "city"}}}, "under ice,", "ice: high in place of no rating"},
		{"leaf snow apart from ice", "QUPH", scheduler.StormRules{Weather: []scheduler.StormLoad{scheduler.LoadIce, scheduler.LoadLeafSnow}}, "under snow on leaves,", ""},
	} {
		e := presetEngine(t, "northeast", func(p *scheduler.Policy) { p.Storms = c.rules })
		tree := maple()
		tree.Species = c.species
		v := e.Visits(tree, apart(), day("2026-11-25"))[0]
		if got := reasonOf(v, "storm.rating"); (got != "") != (c.high != "") || !strings.Contains(got, c.high) {
			t.Errorf("%s: %q", c.name, got)
		}
		if got := reasonOf(v, "storm.city_rating"); (got != "") != (c.own != "") || !strings.Contains(got, c.own) {
			t.Errorf("%s: own rating %q", c.name, got)
		}
		texts := strings.Join(v.Objectives, "\n") + strings.Join(v.Cautions, "\n")
		if (c.high != "") != (strings.Contains(texts, "never strip the inside") && strings.Contains(texts, "ice is not knocked off")) {
			t.Errorf("%s: %s", c.name, texts)
		}
	}
}

// A weak union on record is looked at before every winter that may break it.
func TestUnionsBeforeWinter(t *testing.T) {
	e := presetEngine(t, "northeast", nil)
	tree := maple()
	tree.Species = "ULAM"
	tree.Watch = []scheduler.WatchItem{item("A", "union", 60, 90, scheduler.WatchOnly, "2026-01-14")}
	v := ruled(e.Visits(tree, apart(), day("2026-02-25")), "storm.unions")
	if v == nil || v.Window != window("2026-09-02", "2026-09-02", "2026-10-31") || v.Kind != scheduler.Inspection {
		t.Fatalf("%+v", v)
	}
	recorded(t, &tree, "2026-10-01", scheduler.Inspection)
	if v = ruled(e.Visits(tree, apart(), day("2026-10-02")), "storm.unions"); v == nil || v.Window.Due.Year() != 2027 {
		t.Errorf("%+v", v)
	}
	tree.Watch[0].Resolved = true
	if v = ruled(e.Visits(tree, apart(), day("2026-10-02")), "storm.unions"); v != nil {
		t.Errorf("nothing to look at: %+v", v)
	}
}
