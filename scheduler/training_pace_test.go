package scheduler

import (
	"errors"
	"testing"
)

// One season more for a slow species, and what a policy says for each class, within 2 to 5
// growing seasons: this project's own rule, no publication gives one.
func TestPaceOfTraining(t *testing.T) {
	for _, c := range []struct {
		text    string
		growth  string
		seasons int
		want    int
	}{
		{"", "slow", 3, 4},
		{"", "moderate", 3, 3},
		{"", "fast", 3, 3},
		{"  growth_seasons: {fast: -1}\n", "fast", 3, 2},
		{"", "", 3, 3},
		{"", "slow", 5, 5},
		{"  growth_seasons: {fast: -1}\n", "fast", 2, 2},
		{"  growth_seasons: {fast: -1}\n", "fast", 1, 1},
		{"", "slow", 1, 2},
		{"", "slow", 8, 8},
		{"  growth_seasons: {fast: -1}\n", "fast", 8, 7}, // the city's own figure may lie beyond the bounds
		{"  growth_seasons: {slow: 2, fast: 0}\n", "slow", 3, 5},
		{"  growth_seasons: {slow: 2, fast: 0}\n", "fast", 3, 3},
		{"  growth_seasons: {slow: 2}\n", "fast", 3, 3}, // left out of a list that is given
		{"  growth_seasons: {}\n", "fast", 3, 3},
	} {
		p, err := structured(t, c.text, "")
		if err != nil {
			t.Fatal(err)
		}
		if got := Paced(c.seasons, p.Training.Pace(c.growth)); got != c.want {
			t.Errorf("%q, %s: %d seasons become %d, want %d", c.text, c.growth, c.seasons, got, c.want)
		}
	}
}

func TestPaceIsChecked(t *testing.T) {
	for text, field := range map[string]string{
		"  growth_seasons: {quick: 1}\n":                "training.growth_seasons.quick",
		"  growth_seasons: {slow: 9}\n":                 "training.growth_seasons.slow",
		"  growth_seasons: {slow: two}\n":               "training.growth_seasons.slow",
		"  growth_seasons: {}\n  growth_source: \"\"\n": "training.growth_source",
	} {
		_, err := structured(t, text, "")
		var e *Error
		if !errors.As(err, &e) || len(e.Fields) != 1 || e.Fields[0].Field != field {
			t.Errorf("%s: %v, want one fault of %s", text, err, field)
		}
	}
}
