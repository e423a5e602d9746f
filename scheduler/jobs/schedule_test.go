package jobs

import (
	"log/slog"
	"testing"
	"time"

	"limbround/scheduler"
)

func TestNewCronRefusesSpecifications(t *testing.T) {
	for spec, ok := range map[string]bool{
		"15 2 * * *":                        true,
		"0 6 * * 1-5":                       true,
		"0 3 1 * *":                         true,
		"@daily":                            true,
		"0 3 29 2 *":                        true, // leap days
		"15 2,14 * * *":                     false,
		"*/5 * * * *":                       false,
		"@hourly":                           false,
		"@every 24h":                        false,
		"CRON_TZ=America/Chicago 0 6 * * *": false,
		"0 3 31 2 *":                        false, // never
		"tomorrow":                          false,
		"61 2 * * *":                        false,
		"":                                  false,
	} {
		_, err := NewCron(nil, time.Now, slog.New(slog.DiscardHandler), []Schedule{{Name: "nightly", Spec: spec}})
		if (err == nil) != ok || !ok && scheduler.KindOf(err) != scheduler.Invalid {
			t.Errorf("%q: %v", spec, err)
		}
	}
}

// FuzzParseSpec looks for a specification that is accepted and yet fires twice
// on a date, or does not answer.
func FuzzParseSpec(f *testing.F) {
	for _, s := range []string{"15 2 * * *", "0 0 1 1 *", "59 23 * * 0", "@monthly", "0-0 5 */2 * *", "1/60 2 * * *"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		spec, err := parseSpec(s)
		if err != nil {
			return
		}
		at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
		for range 40 {
			next := spec.Next(at)
			if next.IsZero() {
				return
			}
			if scheduler.DateOf(next) == scheduler.DateOf(at) && at.Hour()+at.Minute() > 0 {
				t.Fatalf("%q fires at %s and at %s", s, at, next)
			}
			at = next
		}
	})
}
