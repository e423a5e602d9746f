package jobs

import (
	"strings"
	"testing"

	"limbround/scheduler"
)

func newTestMatcher(t testing.TB, aliases map[string]string) *speciesMatcher {
	t.Helper()
	list, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	list = append(list, scheduler.Species{Code: "TWIN", Scientific: "Geminus exemplum", Common: "red maple"}) // shares a common name
	m, err := newSpeciesMatcher(list, aliases)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestSpeciesMatches(t *testing.T) {
	m := newTestMatcher(t, map[string]string{"big red": "ACRU"})
	for in, want := range map[string]string{
		"ACRU":                                  "ACRU",
		"acru":                                  "ACRU",
		"Acer rubrum":                           "ACRU",
		"  ACER   RUBRUM ":                      "ACRU",
		"Acer rubrum 'October Glory'":           "ACRU",
		"Acer rubrum ‘October Glory’":           "ACRU",
		`Acer rubrum "Bowhall"`:                 "ACRU",
		"Acer rubrum L.":                        "ACRU",
		"Acer_rubrum":                           "ACRU",
		"Big Red":                               "ACRU",
		"Norway Maple":                          "ACPL",
		"Maple, Norway":                         "ACPL",
		"Maple, Norway 'Crimson King'":          "ACPL",
		"Acer platanoides (Norway maple)":       "ACPL",
		"Acer platanoides - Spitzahorn":         "ACPL",
		"Spitzahorn (Acer platanoides)":         "ACPL",
		"Gleditsia triacanthos":                 "GLTR",
		"Gleditsia triacanthos var. inermis":    "GLTR",
		"Gleditsia triacanthos f. inermis":      "GLTR",
		"Gymnocladus dioica":                    "GYDI", // a synonym
		"Acer rubrum :: Canadian swamp maple":   "ACRU",
		"Carpinus betulus 'Fastigiata'":         "CABE",
		"Amelanchier spp.":                      "AMEL",
		"Platanus × acerifolia":                 "PLAC",
		"Platanus x acerifolia 'Bloodgood'":     "PLAC",
		"Platanus acerifolia":                   "PLAC",
		"Acer saccharinum - silver maple, rear": "ACSA1",
	} {
		if got, rule := m.find(in); got != want {
			t.Errorf("%q: %q, %q; want %s", in, got, rule, want)
		}
	}
}

func TestSpeciesRefuses(t *testing.T) {
	m := newTestMatcher(t, nil)
	for in, want := range map[string]string{
		"Acre rubrum":                "did you mean Acer rubrum?",
		"Acer rubum":                 "did you mean Acer rubrum?",
		"nroway maple":               "did you mean Norway maple?",
		"ACRX":                       "did you mean",
		"red maple":                  "shared by ACRU, TWIN",
		"Acer rubrum - silver maple": "stand for different species",
		"Acer":                       "not a known species",
		"oak":                        "not a known species",
		"tree":                       "not a known species; add it",
		"'":                          "not a known species",
		"(":                          "not a known species",
	} {
		if got, rule := m.find(in); got != "" || !strings.Contains(rule, want) {
			t.Errorf("%q: %q, %q; want %q", in, got, rule, want)
		}
	}
	if _, err := newSpeciesMatcher(nil, map[string]string{"x": "NONE"}); err == nil {
		t.Error("an alias for an unknown code was accepted")
	}
}

func TestEditDistance(t *testing.T) {
	for _, tc := range []struct {
		a, b string
		want int
	}{
		{"acer", "acer", 0}, {"acre", "acer", 1}, {"acer", "ace", 1}, {"acer", "maple", 4}, {"", "ab", 2}, {"ca", "abc", 3}, {"häher", "haher", 1},
	} {
		if got := editDistance(tc.a, tc.b, 9); got != tc.want {
			t.Errorf("%q to %q: %d, want %d", tc.a, tc.b, got, tc.want)
		}
		if got := editDistance(tc.a, tc.b, 1); got != min(tc.want, 2) {
			t.Errorf("%q to %q within 1: %d", tc.a, tc.b, got)
		}
	}
}

func FuzzSpecies(f *testing.F) {
	for _, s := range []string{"Acer rubrum 'x", "(", ")(", ",", "a - ", " :: ", "×", "Maple, ", "'''"} {
		f.Add(s)
	}
	m := newTestMatcher(f, nil)
	f.Fuzz(func(t *testing.T, s string) {
		if code, rule := m.find(s); (code == "") == (rule == "") {
			t.Fatalf("%q: code %q, rule %q", s, code, rule)
		}
	})
}
