package jobs

import (
	"context"
	"fmt"
	"time"

	"limbround/scheduler"
)

// RemindStore keeps the reminders and what they are derived from.
type RemindStore interface {
	RuleStore
	// Remind makes the open reminders what decide answers, in one transaction. It
	// MUST write nothing when they are so already, and leave one that was done as it is.
	// Of the trees it need only read those planted from one day to the other.
	Remind(ctx context.Context, day, from, to scheduler.Date, decide func(*scheduler.ReminderFacts) []scheduler.Reminder,
		by scheduler.Stamp) (scheduler.RemindStats, error)
}

// Remind derives the reminders of a day: warranties, parking signs, tickets.
type Remind struct {
	Store RemindStore
	Now   func() time.Time
}

// RemindRequest says for which day; zero for today in the city.
type RemindRequest struct {
	Day   scheduler.Date
	Actor string
}

// RemindResult is what changed, or why nothing was looked at.
type RemindResult struct {
	Day     scheduler.Date `json:"day"`
	Skipped string         `json:"skipped,omitempty"`
	scheduler.RemindStats
}

// Run derives the reminders of today. A day that is over, caught up after an
// outage, is reported and not derived: today's reminders stand on the same facts.
func (m Remind) Run(ctx context.Context, q RemindRequest) (RemindResult, error) {
	now := m.Now()
	today, err := Today(ctx, m.Store, now)
	if err != nil {
		return RemindResult{}, err
	}
	out := RemindResult{Day: q.Day}
	switch {
	case q.Day.IsZero():
		out.Day = today
	case q.Day < today:
		out.Skipped = fmt.Sprintf("%s is over; the reminders of %s take its place", q.Day, today)
		return out, nil
	case q.Day > today:
		return out, scheduler.Errorf(scheduler.Invalid, "day %s: it has not come, today is %s", q.Day, today)
	}
	policy, err := m.Store.CurrentPolicy(ctx, today)
	if err != nil {
		return out, err
	}
	r := policy.RemindRules()
	out.RemindStats, err = m.Store.Remind(ctx, today, today.AddMonths(-r.WarrantyMonths-1), today,
		func(f *scheduler.ReminderFacts) []scheduler.Reminder { return scheduler.Remind(f, &r, today) },
		scheduler.Stamp{Actor: q.Actor, At: now})
	return out, err
}
