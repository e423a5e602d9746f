package main

import (
	"slices"
	"testing"
	"time"
)

func TestDifferencesAreSeen(t *testing.T) {
	for _, tc := range []struct {
		name         string
		twin, victim []string
		want         []string
	}{
		{"same in another order", []string{"a", "b", "b"}, []string{"b", "a", "b"}, nil},
		{"lost", []string{"a", "b"}, []string{"a"}, []string{"b [twin only, 1]"}},
		{"doubled", []string{"a"}, []string{"a", "a"}, []string{"a [interrupted only, 1]"}},
		{"changed", []string{"a 1"}, []string{"a 2"}, []string{"a 1 [twin only, 1]", "a 2 [interrupted only, 1]"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := differences(tc.twin, tc.victim); !slices.Equal(got, tc.want) {
				t.Errorf("got %q, want %q", got, tc.want)
			}
		})
	}
}

// Every part that takes part in an action is killed in turn, at moments all
// over its duration, and nobody else is.
func TestDrawsSpread(t *testing.T) {
	command := &action{step: "due", odds: 1, args: func(*house) ([]string, error) { return nil, nil }}
	job := &action{step: "plan", odds: 1, path: "/api/v1/plans"}
	calls := &action{step: "record", odds: 1}
	for _, tc := range []struct {
		a    *action
		want []string
	}{
		{command, []string{killAll, killCommand, killPostgres, killServer}},
		{job, []string{killAll, killPostgres, killServer, killWorker}},
		{calls, []string{killAll, killPostgres, killServer}},
	} {
		k := newKiller(1, map[string]int{tc.a.step: 12})
		died := map[string]int{}
		var early, late int
		for k.wants(tc.a, 0) {
			victim, after := k.draw(tc.a, time.Second)
			k.hit(tc.a.step, victim)
			died[victim]++
			if after < 0 || after >= time.Second {
				t.Errorf("%s: after %s of a second", tc.a.step, after)
			}
			if after < time.Second/2 {
				early++
			} else {
				late++
			}
		}
		for _, victim := range victims {
			want := 0
			if slices.Contains(tc.want, victim) {
				want = 12 / len(tc.want)
			}
			if died[victim] != want {
				t.Errorf("%s: the %s died %d times, want %d", tc.a.step, victim, died[victim], want)
			}
		}
		if early < 2 || late < 2 || k.left() != 0 {
			t.Errorf("%s: %d early, %d late, %d left", tc.a.step, early, late, k.left())
		}
	}
}

// Whatever the hour, it is past the nightly run and far from midnight there,
// and the zone's name means what the calculation does.
func TestQuietZone(t *testing.T) {
	for hour := range 24 {
		now := time.Date(2026, 3, 1, hour, 59, 0, 0, time.UTC)
		name, today := quietZone(now)
		zone, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		local := now.In(zone)
		if local.Hour() != 4 || local.Format(time.DateOnly) != today.Format(time.DateOnly) || today.Hour() != 12 {
			t.Errorf("%s: in %s it is %s, taken for %s", now, name, local, today)
		}
	}
}
