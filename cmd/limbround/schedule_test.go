package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// fleet is two servers and three workers on one database and one clock. They
// differ in nothing that matters here: each works jobs off and each ticks.
type fleet struct {
	*program
	at    atomic.Int64 // Unix seconds
	crons []*jobs.Cron
}

func startFleet(t *testing.T, p *program) *fleet {
	t.Helper()
	f := &fleet{program: p}
	f.at.Store(p.clock.Unix())
	for range 5 {
		a := &app{out: io.Discard, err: io.Discard, now: func() time.Time { return time.Unix(f.at.Load(), 0).UTC() }, cli: &cli{}}
		d, err := db.Open(t.Context(), db.Config{URL: p.url, MaxConns: 8})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = d.Close() })
		cron, stop, err := a.startJobs(t.Context(), d, slog.New(slog.DiscardHandler))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() {
			if err := stop(context.Background()); err != nil {
				t.Error(err)
			}
		})
		f.crons = append(f.crons, cron)
	}
	return f
}

// tick lets all five tick at once, and waits for the jobs that they queued.
func (f *fleet) tick(now time.Time) {
	f.t.Helper()
	f.at.Store(now.Unix())
	var wg sync.WaitGroup
	var queued atomic.Int32
	for _, c := range f.crons {
		wg.Go(func() {
			n, err := c.Tick(f.t.Context())
			if err != nil {
				f.t.Errorf("tick at %s: %v", now, err)
			}
			queued.Add(int32(n))
		})
	}
	wg.Wait()
	for begin := time.Now(); queued.Load() > 0; time.Sleep(10 * time.Millisecond) {
		open := f.query(`SELECT format('%s %s %s %s', kind, args, state, errors) FROM river_job WHERE finalized_at IS NULL`)
		if len(open) == 0 {
			return
		}
		if time.Since(begin) > time.Minute {
			f.t.Fatalf("at %s jobs do not end: %v", now, open)
		}
	}
}

// TestThirtyDaysOfSchedules runs thirty days, twice: no thirty days hold both
// clock changes of Indiana, 14 March and 7 November 2027 (published rule: the second Sunday
// of March and the first of November, 15 U.S.C. 260a). Each has four days on which nobody ticks.
func TestThirtyDaysOfSchedules(t *testing.T) {
	for _, c := range []struct {
		name                string
		first, change, dark scheduler.Date // of 30 days; the clock changes; the outage begins
	}{
		{"spring", scheduler.NewDate(2027, time.February, 24), scheduler.NewDate(2027, time.March, 14), scheduler.NewDate(2027, time.March, 3)},
		{"autumn", scheduler.NewDate(2027, time.October, 20), scheduler.NewDate(2027, time.November, 7), scheduler.NewDate(2027, time.November, 10)},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			f := startFleet(t, newHandmade(t, c.first.Year(), c.first.Month(), c.first.Day()))
			zone, err := time.LoadLocation("America/Indiana/Indianapolis")
			if err != nil {
				t.Fatal(err)
			}
			midnight := func(d scheduler.Date) time.Time {
				return time.Date(d.Year(), d.Month(), d.Day(), 0, 0, 0, 0, zone)
			}
			for day := c.first; day < c.first.AddDays(30); day++ {
				if day >= c.dark && day < c.dark.AddDays(4) {
					continue
				}
				step := 3 * time.Hour
				if day == c.change {
					step = 15 * time.Minute
				}
				for now := midnight(day); now.Before(midnight(day + 1)); now = now.Add(step) {
					f.tick(now)
				}
			}
			f.check(c.first)
		})
	}
}

// check holds what the database says against the calendar.
func (f *fleet) check(first scheduler.Date) {
	f.t.Helper()
	last := first.AddDays(29)
	var want []string
	for d := first; d <= last; d++ {
		want = append(want, fmt.Sprintf(`due %s {"as_of": "%[1]s", "full": true, "actor": "schedule"}`, d), fmt.Sprintf(`reminders %s {"day": "%[1]s", "actor": "schedule"}`, d))
		if d.Weekday() == time.Thursday {
			want = append(want, fmt.Sprintf(`week draft %s {"actor": "schedule", "monday": "%s"}`, d, d.AddDays(4)))
		}
	}
	slices.Sort(want)
	kinds := strings.NewReplacer("week draft", "week_draft")
	var marks, done []string
	for _, m := range f.query(`SELECT name || ' ' || civil_date FROM cron_run ORDER BY 1`) {
		i := slices.IndexFunc(want, func(w string) bool { return strings.HasPrefix(w, m+" ") })
		if i < 0 {
			f.t.Errorf("mark %s is not of the thirty days", m)
			continue
		}
		marks = append(marks, want[i])
		args := want[i][len(m)+1:]
		done = append(done, f.query(`SELECT $1 || ' ' || $2 FROM river_job WHERE kind = $3 AND args = $2::jsonb AND state = 'completed'`,
			m, args, kinds.Replace(m[:len(m)-len(" 2027-01-01")]))...)
	}
	if d := cmp.Diff(want, marks); d != "" {
		f.t.Errorf("marks (-want +got):\n%s", d)
	}
	if d := cmp.Diff(want, done); d != "" {
		f.t.Errorf("completed jobs (-want +got):\n%s", d)
	}
	if n := f.number(`SELECT count(*) FROM river_job`); n != len(want) {
		f.t.Errorf("%d jobs, want %d", n, len(want))
	}
	f.none("jobs with an error", `SELECT format('%s %s %s %s', kind, args, state, errors) FROM river_job WHERE state <> 'completed' OR cardinality(errors) > 0`)
	f.none("nights without their one run of the whole city", `
SELECT n::date::text FROM generate_series($1::text::date, $2::text::date, '1 day') n
WHERE (SELECT count(*) FROM due_run r WHERE r.whole_city AND r.as_of = n::date) <> 1`, first.String(), last.String())
	f.none("nights without a snapshot", `
SELECT n::date::text FROM generate_series($1::text::date, $2::text::date, '1 day') n
WHERE NOT EXISTS (SELECT FROM overdue_night s WHERE s.night = n::date)`, first.String(), last.String())
	f.none("runs out of order", `
SELECT r.as_of::text FROM due_run r JOIN due_run o ON o.id > r.id AND o.as_of < r.as_of WHERE r.whole_city AND o.whole_city`)
	f.t.Logf("%d schedules' dates, each once; jobs by the workers that took them: %v", len(want),
		f.query(`SELECT format('%s %s', kind, count(*)) FROM river_job GROUP BY kind, attempted_by[1] ORDER BY 1`))
}
