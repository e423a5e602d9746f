package jobs

import (
	"context"
	"strings"
	"testing"
	"time"

	"limbround/scheduler"
)

// cityOnly answers the city and fails the test for anything else.
type cityOnly struct {
	PackStore
	RemindStore
}

func (cityOnly) City(context.Context) (scheduler.City, error) {
	return scheduler.City{TimeZone: "America/Chicago"}, nil
}

func (cityOnly) CurrentPolicy(context.Context, scheduler.Date) (scheduler.Policy, error) {
	panic("the rules are not needed")
}

func (cityOnly) Species(context.Context) ([]scheduler.Species, error) {
	panic("the species are not needed")
}

// Late on Friday evening in Chicago it is Saturday in UTC: the city decides.
func TestWhatIsOverIsReportedAndNotMade(t *testing.T) {
	saturday := time.Date(2026, 6, 6, 12, 0, 0, 0, time.UTC)
	now := func() time.Time { return saturday }
	monday := scheduler.NewDate(2026, 6, 1)
	week, err := WeekDraft{Store: cityOnly{}, Now: now}.Run(t.Context(), WeekDraftRequest{Monday: monday})
	if err != nil || !strings.Contains(week.Skipped, "the week of 2026-06-01 was over on 2026-06-06") || week.PackResult != nil {
		t.Errorf("week draft: %+v, %v", week, err)
	}
	remind, err := Remind{Store: cityOnly{}, Now: now}.Run(t.Context(), RemindRequest{Day: monday})
	if err != nil || !strings.Contains(remind.Skipped, "2026-06-01 is over") {
		t.Errorf("reminders: %+v, %v", remind, err)
	}
	if _, err := (Remind{Store: cityOnly{}, Now: now}).Run(t.Context(), RemindRequest{Day: monday + 30}); scheduler.KindOf(err) != scheduler.Invalid {
		t.Errorf("reminders of a day to come: %v", err)
	}
	if _, err := (WeekDraft{Store: cityOnly{}, Now: now}).Run(t.Context(), WeekDraftRequest{Monday: monday + 1}); scheduler.KindOf(err) != scheduler.Invalid {
		t.Errorf("a week that begins on Tuesday: %v", err)
	}
}

func TestSchedulesAskForTheirDays(t *testing.T) {
	thursday := scheduler.NewDate(2026, 6, 4)
	got := map[string]scheduler.JobArgs{}
	for _, s := range Schedules() {
		if _, err := parseSpec(s.Spec); err != nil {
			t.Errorf("%s: %v", s.Name, err)
		}
		got[s.Name] = s.Args(thursday)
	}
	for name, want := range map[string]scheduler.JobArgs{
		"due": DueArgs{AsOf: thursday, Full: true, Actor: "schedule"}, "reminders": RemindArgs{thursday, "schedule"},
		"week draft": WeekDraftArgs{thursday + 4, "schedule"},
	} {
		if got[name] != want {
			t.Errorf("%s: %+v, want %+v", name, got[name], want)
		}
	}
	if len(got) != 3 {
		t.Errorf("%d schedules", len(got))
	}
}
