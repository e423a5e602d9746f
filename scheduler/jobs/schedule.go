package jobs

// A schedule is a cron expression read on the wall clock of the city. It fires
// at most once for each civil date: the store keeps a mark (name, civil date)
// that is written together with the job. A tick asks, for each date since
// the last mark, whether the city's wall clock has passed the expression's
// time of that date. Comparing wall clocks, not instants, makes both nights of
// clock change right: a time that does not exist in spring has passed when the
// clock jumps over it, and a time that comes twice in autumn is marked the
// first time. Several servers may tick; the mark lets one of them win.

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"github.com/robfig/cron/v3"

	"limbround/scheduler"
)

// catchUp is the greatest number of missed dates that are made good after an outage.
const catchUp = 14

// Schedule is one recurring job.
type Schedule struct {
	Name string
	Spec string // five cron fields, at most one firing a day: "15 2 * * *"
	Args func(day scheduler.Date) scheduler.JobArgs
}

// CronStore keeps the marks and queues the jobs.
type CronStore interface {
	City(context.Context) (scheduler.City, error)
	LastRun(ctx context.Context, name string) (scheduler.Date, error)
	EnqueueOnce(ctx context.Context, name string, day scheduler.Date, at time.Time, args scheduler.JobArgs) (bool, error)
}

// Cron enqueues the jobs of its schedules. Make it with NewCron.
type Cron struct {
	store CronStore
	now   func() time.Time
	log   *slog.Logger
	lines []line
}

type line struct {
	Schedule
	spec cron.Schedule
}

// NewCron checks the schedules. A specification that cannot be read, fires
// more than once a day or names a zone of its own is Invalid.
func NewCron(store CronStore, now func() time.Time, log *slog.Logger, schedules []Schedule) (*Cron, error) {
	c := &Cron{store: store, now: now, log: log}
	for _, s := range schedules {
		spec, err := parseSpec(s.Spec)
		if err != nil {
			return nil, &scheduler.Error{
				Kind: scheduler.Invalid, Message: fmt.Sprintf("schedule %s: %q", s.Name, s.Spec),
				Hint: `write minute, hour, day, month and weekday, one time a day, for example "15 2 * * *"`, Err: err,
			}
		}
		c.lines = append(c.lines, line{s, spec})
	}
	return c, nil
}

func parseSpec(s string) (cron.Schedule, error) {
	if strings.Contains(s, "=") || strings.HasPrefix(s, "@every") {
		return nil, fmt.Errorf("the city decides the zone, and the calendar the days")
	}
	spec, err := cron.ParseStandard(s)
	if err != nil {
		return nil, err
	}
	first := spec.Next(time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).Add(-time.Second))
	if first.IsZero() {
		return nil, fmt.Errorf("it never fires")
	}
	if scheduler.DateOf(spec.Next(first)) == scheduler.DateOf(first) {
		return nil, fmt.Errorf("it fires more than once a day")
	}
	return spec, nil
}

// wallTime is the time of day at which the schedule fires on a civil date;
// ok is false on dates it leaves out. The date is laid on the UTC calendar, which
// has no clock changes.
func (l line) wallTime(day scheduler.Date) (t time.Time, ok bool) {
	t = l.spec.Next(day.Time().Add(-time.Second))
	return t, scheduler.DateOf(t) == day
}

// Tick enqueues whatever is due by now and not yet enqueued, oldest first. A
// schedule that has never run starts with today.
func (c *Cron) Tick(ctx context.Context) (enqueued int, err error) {
	city, err := c.store.City(ctx)
	if err != nil {
		return 0, err
	}
	zone, err := time.LoadLocation(city.TimeZone)
	if err != nil {
		return 0, scheduler.Wrap(scheduler.Invalid, "time zone of the city", err)
	}
	now := c.now()
	local := now.In(zone)
	today := scheduler.DateOf(local)
	wall := time.Date(local.Year(), local.Month(), local.Day(), local.Hour(), local.Minute(), local.Second(), 0, time.UTC)
	for _, l := range c.lines {
		last, err := c.store.LastRun(ctx, l.Name)
		if err != nil {
			return enqueued, err
		}
		for _, day := range c.missed(l, last, today, wall) {
			did, err := c.store.EnqueueOnce(ctx, l.Name, day, now, l.Args(day))
			if err != nil {
				return enqueued, err
			}
			if did {
				enqueued++
			}
		}
	}
	return enqueued, nil
}

// missed lists the dates after last whose time has passed, oldest first, the
// newest catchUp of them.
func (c *Cron) missed(l line, last, today scheduler.Date, wall time.Time) []scheduler.Date {
	from := last + 1
	if last.IsZero() {
		from = today
	}
	var days []scheduler.Date
	for day := from; day <= today; day++ {
		if t, ok := l.wallTime(day); ok && !t.After(wall) {
			days = append(days, day)
		}
	}
	if over := len(days) - catchUp; over > 0 {
		c.log.Warn("schedule was down too long, the oldest dates are not made good",
			"schedule", l.Name, "from", days[0], "dates", over)
		days = days[over:]
	}
	return days
}

// Run ticks at once and then every minute until ctx ends. A failed tick is
// logged and the next one makes it good.
func (c *Cron) Run(ctx context.Context) {
	tick := time.NewTicker(time.Minute)
	defer tick.Stop()
	for {
		if n, err := c.Tick(ctx); err != nil && ctx.Err() == nil {
			c.log.Error("schedule tick failed", "err", err)
		} else if n > 0 {
			c.log.Info("scheduled jobs queued", "jobs", n)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}
