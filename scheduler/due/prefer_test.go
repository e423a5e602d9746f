package due

import (
	"strings"
	"testing"

	"limbround/scheduler"
)

// Late winter, before the buds swell, is when most trees are best pruned
// (common practice); what a city prefers is no ban.
func TestPreferredMonthsSetTheDueDay(t *testing.T) {
	prefer := func(from, to scheduler.MonthDay, groups ...string) scheduler.Season {
		return scheduler.Season{Name: "late winter", Kind: scheduler.SeasonPreferred, From: from, To: to, Groups: groups, Source: "the city's arborist"}
	}
	window := scheduler.Window{Earliest: day("2027-11-01"), Due: day("2028-11-01"), Latest: day("2030-03-31")}
	for _, tc := range []struct {
		name  string
		rules []scheduler.Season
		due   string
		said  bool
	}{
		{"no rule", nil, "2028-11-01", false},
		{"late winter", []scheduler.Season{prefer(md(2, 15), md(3, 15))}, "2029-02-15", true},
		{"over New Year", []scheduler.Season{prefer(md(12, 20), md(1, 20))}, "2028-12-20", true},
		{"begins before the season", []scheduler.Season{prefer(md(10, 1), md(11, 30))}, "2028-11-01", true},
		{"the earlier of two", []scheduler.Season{prefer(md(3, 1), md(3, 31)), prefer(md(1, 10), md(1, 20))}, "2029-01-10", true},
		{"summer: no day of the season", []scheduler.Season{prefer(md(6, 1), md(8, 31))}, "2028-11-01", false},
		{"another group", []scheduler.Season{prefer(md(2, 15), md(3, 15), "oak")}, "2028-11-01", false},
		{"its first days closed", []scheduler.Season{prefer(md(2, 15), md(3, 15)), {Kind: scheduler.SeasonClosed, From: md(2, 1), To: md(2, 28)}}, "2029-03-01", true},
		{"all of it closed", []scheduler.Season{prefer(md(2, 15), md(3, 15)), {Kind: scheduler.SeasonClosed, From: md(2, 1), To: md(3, 31)}}, "2028-11-01", false},
	} {
		e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Seasons.Special = tc.rules })
		v := only(t, e.Visits(maple(), apart(), day("2026-11-25")))
		want := window
		want.Due = day(tc.due)
		want.Latest = v.Window.Latest // closed seasons cut it, not preferred ones
		if v.Window != want || (len(tc.rules) < 2 && v.Window.Latest != window.Latest) {
			t.Errorf("%s: %+v, want %+v", tc.name, v.Window, want)
		}
		r := reasonOf(v, "season.preferred")
		if (r != "") != tc.said || (tc.said && !strings.Contains(r, "due from ")) {
			t.Errorf("%s: told %q", tc.name, r)
		}
	}

	// work of weeks and the look in leaf do not wait for them
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) {
		p.Seasons.Special = []scheduler.Season{prefer(md(2, 15), md(3, 15))}
	})
	plain := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Seasons.Special = nil })
	tree, site := wide(1600, 3000), street()
	tree.Height, site.InSight, site.ToJunction = 14000, true, 9000
	urgent := 0
	for i, v := range plain.Visits(tree, site, day("2026-11-25")) {
		if v.Class <= 2 || v.Kind == scheduler.SightClearance {
			urgent++
			if got := e.Visits(tree, site, day("2026-11-25"))[i]; got.Window != v.Window {
				t.Errorf("%s: %+v, without preferred months %+v", v.Kind, got.Window, v.Window)
			}
		}
	}
	if urgent == 0 {
		t.Error("no urgent visit to compare")
	}
}

// A preferred season of one species group touches the trees of that group alone.
func TestPreferredMonthsTouchTheirGroup(t *testing.T) {
	before := presetPolicy(t, "lower-midwest")
	after := before
	after.Seasons.Special = append(append([]scheduler.Season(nil), before.Seasons.Special...),
		scheduler.Season{Name: "late winter", Kind: scheduler.SeasonPreferred, From: md(2, 15), To: md(3, 15), Groups: []string{"oak"}})
	species := speciesTable(t)
	got := Touched(before, after, species)
	want := 0
	for i := range species {
		if in := species[i].ClosedGroup == "oak"; in {
			want++
			if !contains(got.Species, species[i].Code) {
				t.Errorf("%s is not touched", species[i].Code)
			}
		}
	}
	if got.All || len(got.Species) != want || want == 0 {
		t.Errorf("%+v, want %d oaks", got, want)
	}
}
