package main

import (
	"context"
	"fmt"
	"io"
	"strconv"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type remindersCmd struct {
	List remindersListCmd `cmd:"" default:"withargs" help:"List what to see to by a day."`
	Make remindersMakeCmd `cmd:"" help:"Work the reminders of today out now, as every morning does."`
	Done remindersDoneCmd `cmd:"" help:"Say that a reminder was seen to."`
}

type remindersListCmd struct {
	State string `help:"Only reminders in this state." enum:"open,done,withdrawn" default:"open"`
	Limit int    `help:"Reminders to list, at most." default:"100"`
}

// Run lists reminders and says how many more there are.
func (c *remindersListCmd) Run(ctx context.Context, a *app) error {
	return listing[scheduler.Reminder]{
		limit: c.Limit, more: "more", head: []string{"number", "from", "last day", ""},
		read: func(d *db.DB) ([]scheduler.Reminder, int, error) {
			return d.ReminderList(ctx, scheduler.ReminderState(c.State), 0, c.Limit)
		},
		row: func(r *scheduler.Reminder) []string {
			return []string{strconv.FormatInt(r.ID, 10), r.DueOn.String(), r.LastDay.String(), r.Text}
		},
	}.run(ctx, a)
}

type remindersMakeCmd struct{}

// Run derives today's reminders.
func (c *remindersMakeCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	res, err := jobs.Remind{Store: d, Now: a.now}.Run(ctx, jobs.RemindRequest{Actor: a.stamp().Actor})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) {
		fmt.Fprintf(w, "Reminders of %s: %d stand, %d new, %d changed, %d withdrawn.\n", res.Day, res.Open, res.New, res.Changed, res.Withdrawn)
	})
}

type remindersDoneCmd struct {
	ID   int64  `arg:"" help:"Number of the reminder."`
	Note string `help:"What was done."`
}

// Run ends one reminder.
func (c *remindersDoneCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	today, err := jobs.Today(ctx, d, a.now())
	if err != nil {
		return err
	}
	r, err := d.ReminderDone(ctx, c.ID, today, c.Note, a.stamp())
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, r, func(w io.Writer) { fmt.Fprintf(w, "Seen to: %s.\n", r.Subject) })
}
