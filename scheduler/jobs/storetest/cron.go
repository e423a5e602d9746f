package storetest

import (
	"context"
	"log/slog"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// CronStore is a store whose city the contract may set.
type CronStore interface {
	jobs.CronStore
	SetCity(context.Context, scheduler.City, scheduler.Stamp) error
}

// step is how far the clock goes between ticks: every instant that the table
// names is a multiple of it.
const step = 5 * time.Minute

// Cron checks that scheduled jobs run once for each civil date, on the nights of
// clock change and after outages too. fresh answers a new empty store.
func Cron(t *testing.T, fresh func(*testing.T) CronStore) {
	for _, c := range []struct {
		name       string
		zone, spec string
		from, to   string // instants, the clock goes by a step at a time
		want       []firing
	}{
		{
			// New York, 8 March 2026: 02:00 to 03:00 does not exist.
			"spring, a time that does not exist", "America/New_York", "30 2 * * *",
			"2026-03-07T07:00:00Z", "2026-03-09T06:45:00Z",
			[]firing{{"2026-03-07", "2026-03-07T07:30:00Z"}, {"2026-03-08", "2026-03-08T07:00:00Z"}, {"2026-03-09", "2026-03-09T06:30:00Z"}},
		},
		{
			// 1 November 2026: 01:00 to 02:00 comes twice.
			"autumn, a time that comes twice", "America/New_York", "30 1 * * *",
			"2026-10-31T05:00:00Z", "2026-11-02T07:00:00Z",
			[]firing{{"2026-10-31", "2026-10-31T05:30:00Z"}, {"2026-11-01", "2026-11-01T05:30:00Z"}, {"2026-11-02", "2026-11-02T06:30:00Z"}},
		},
		{
			// Santiago, 6 September 2026: the day begins at 01:00.
			"spring at midnight", "America/Santiago", "15 0 * * *",
			"2026-09-05T20:00:00Z", "2026-09-06T08:00:00Z",
			[]firing{{"2026-09-05", "2026-09-05T20:00:00Z"}, {"2026-09-06", "2026-09-06T04:00:00Z"}},
		},
		{
			"working days only", "UTC", "0 6 * * 1-5",
			"2026-06-05T05:00:00Z", "2026-06-08T07:00:00Z", // Friday to Monday
			[]firing{{"2026-06-05", "2026-06-05T06:00:00Z"}, {"2026-06-08", "2026-06-08T06:00:00Z"}},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newClockwork(t, fresh(t), c.zone, c.spec)
			for now, end := instant(t, c.from), instant(t, c.to); !now.After(end); now = now.Add(step) {
				s.tick(now)
			}
			if diff := cmp.Diff(c.want, s.fired); diff != "" {
				t.Error(diff)
			}
		})
	}
	t.Run("an outage of four days is made good", func(t *testing.T) {
		s := newClockwork(t, fresh(t), "America/Chicago", "15 2 * * *")
		s.tick(instant(t, "2026-06-01T12:00:00Z"))
		s.tick(instant(t, "2026-06-05T12:00:00Z"))
		s.wantDays("2026-06-01", "2026-06-02", "2026-06-03", "2026-06-04", "2026-06-05")
	})
	t.Run("a long outage is made good for fourteen days", func(t *testing.T) {
		s := newClockwork(t, fresh(t), "UTC", "15 2 * * *")
		s.tick(instant(t, "2026-05-01T12:00:00Z"))
		s.fired = nil
		s.tick(instant(t, "2026-06-14T12:00:00Z"))
		s.wantDays("2026-06-01", "2026-06-02", "2026-06-03", "2026-06-04", "2026-06-05", "2026-06-06", "2026-06-07",
			"2026-06-08", "2026-06-09", "2026-06-10", "2026-06-11", "2026-06-12", "2026-06-13", "2026-06-14")
	})
	t.Run("before its time nothing runs, and a clock set back runs nothing again", func(t *testing.T) {
		s := newClockwork(t, fresh(t), "UTC", "15 2 * * *")
		s.tick(instant(t, "2026-06-01T02:14:59Z"))
		s.wantDays()
		s.tick(instant(t, "2026-06-01T02:15:00Z"))
		s.tick(instant(t, "2026-05-31T09:00:00Z"))
		s.tick(instant(t, "2026-06-01T23:00:00Z"))
		s.wantDays("2026-06-01")
	})
}

// firing is one civil date and the instant at which its job was queued.
type firing struct{ Day, At string }

// clockwork is two servers that tick on one store with one made-up clock.
type clockwork struct {
	t       *testing.T
	now     time.Time
	servers [2]*jobs.Cron
	fired   []firing
}

func newClockwork(t *testing.T, store CronStore, zone, spec string) *clockwork {
	t.Helper()
	s := &clockwork{t: t}
	by := scheduler.Stamp{Actor: "storetest", At: instant(t, "2026-01-01T00:00:00Z")}
	city := scheduler.City{Name: "Alder Falls", TimeZone: zone, Units: "us", FiscalMonth: 1}
	if err := store.SetCity(t.Context(), city, by); err != nil {
		t.Fatal(err)
	}
	for i := range s.servers {
		c, err := jobs.NewCron(witness{store, s}, func() time.Time { return s.now }, slog.New(slog.DiscardHandler), []jobs.Schedule{{
			Name: "nightly", Spec: spec,
			Args: func(day scheduler.Date) scheduler.JobArgs { return jobs.DueArgs{AsOf: day, Actor: "schedule"} },
		}})
		if err != nil {
			t.Fatal(err)
		}
		s.servers[i] = c
	}
	return s
}

func (s *clockwork) tick(now time.Time) {
	s.t.Helper()
	s.now = now
	before := len(s.fired)
	total := 0
	for _, server := range s.servers {
		n, err := server.Tick(s.t.Context())
		if err != nil {
			s.t.Fatal(err)
		}
		total += n
	}
	if total != len(s.fired)-before {
		s.t.Errorf("at %s the servers report %d jobs, %d were queued", now, total, len(s.fired)-before)
	}
}

func (s *clockwork) wantDays(days ...string) {
	s.t.Helper()
	var got []string
	for _, f := range s.fired {
		got = append(got, f.Day)
	}
	if diff := cmp.Diff(days, got); diff != "" {
		s.t.Error(diff)
	}
}

// witness notes what the store accepted.
type witness struct {
	jobs.CronStore
	s *clockwork
}

func (w witness) EnqueueOnce(ctx context.Context, name string, day scheduler.Date, at time.Time, args scheduler.JobArgs) (bool, error) {
	did, err := w.CronStore.EnqueueOnce(ctx, name, day, at, args)
	if did {
		if a, ok := args.(jobs.DueArgs); !ok || a.AsOf != day {
			w.s.t.Errorf("job %+v for %s", args, day)
		}
		w.s.fired = append(w.s.fired, firing{day.String(), at.UTC().Format(time.RFC3339)})
	}
	return did, err
}

func instant(t *testing.T, s string) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return at
}
