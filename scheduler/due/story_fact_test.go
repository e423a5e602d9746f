package due

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
)

// visitsOf plays a story and gives its visits, those that a record took the place of too.
func visitsOf(t *testing.T, s *story) (*storyRun, []scheduler.Visit) {
	t.Helper()
	r := playStory(t, s)
	var out []scheduler.Visit
	for i := range r.steps {
		if v := r.steps[i].visit; v != nil {
			out = append(out, *v)
		}
	}
	return r, out
}

// TestStoriesRunTheCalendar holds the visits before a story's first event
// against the calendar that a person would be shown.
func TestStoriesRunTheCalendar(t *testing.T) {
	for _, s := range stories() {
		r := playStory(t, &s)
		calendar := r.e.Calendar(s.tree(), s.site(), day(s.today), s.years)
		var got []scheduler.Visit
		for i := range r.steps {
			if r.steps[i].event != nil {
				break
			}
			v := *r.steps[i].visit
			v.AsOf = day(s.today)
			got = append(got, v)
		}
		if len(calendar) == mostTrips {
			got = got[:min(len(got), mostTrips)]
		}
		if len(got) > len(calendar) || (len(s.events) == 0 && len(got) < len(calendar)) {
			t.Errorf("%s: %d visits played, %d in the calendar", s.name, len(got), len(calendar))
			continue
		}
		if diff := cmp.Diff(calendar[:len(got)], got); len(got) > 0 && diff != "" {
			t.Errorf("%s: the story left the calendar (-calendar +story):\n%s", s.name, diff)
		}
	}
}

// TestStoryFacts checks what must hold in the stories whatever the figures of a preset.
func TestStoryFacts(t *testing.T) {
	for _, s := range stories() {
		r, visits := visitsOf(t, &s)
		for i := 1; i < len(r.steps); i++ {
			if r.steps[i].on < r.steps[i-1].on {
				t.Errorf("%s: steps out of order at %s", s.name, r.steps[i].on)
			}
		}
		for _, v := range visits {
			if len(v.Reasons) == 0 || len(v.Objectives) == 0 {
				t.Errorf("%s, %s: a visit without a reason or an objective", s.name, v.Window.Due)
			}
			if text := strings.Join(slices.Concat(v.Objectives, v.Limits, v.Cautions), "\n"); strings.Contains(strings.ToLower(text), "is safe") {
				t.Errorf("%s, %s: the card says that something is safe: %s", s.name, v.Window.Due, text)
			}
			for _, reason := range v.Reasons {
				if reason.Source == "" {
					t.Errorf("%s, %s: %s has no source", s.name, v.Window.Due, reason.Rule)
				}
			}
		}
		for _, o := range r.folded.Opened {
			if o.DoneBy == "" {
				t.Errorf("%s: what the record of %s called for is still open", s.name, o.On)
			}
		}
	}
}
