package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"time"

	"limbround/db"
	"limbround/scheduler"
)

type jobsCmd struct {
	List   jobsListCmd   `cmd:"" default:"withargs" help:"List jobs, newest first."`
	Show   jobsShowCmd   `cmd:"" help:"Show one job: how far it is, or what became of it."`
	Cancel jobsCancelCmd `cmd:"" help:"End a job, wherever it runs; it leaves nothing half done."`
}

type jobsListCmd struct {
	State string `help:"Only jobs in this state: available, pending, scheduled, retryable, running, completed, cancelled or discarded." enum:",available,pending,scheduled,retryable,running,completed,cancelled,discarded" default:""`
	Limit int    `help:"Jobs to list, at most." default:"50"`
}

// Run lists jobs and says how many more there are.
func (c *jobsListCmd) Run(ctx context.Context, a *app) error {
	return listing[scheduler.JobStatus]{
		limit: c.Limit, more: "older", head: []string{"job", "kind", "state", "attempt", "queued", ""},
		read: func(d *db.DB) ([]scheduler.JobStatus, int, error) { return d.JobList(ctx, c.State, 0, c.Limit) },
		row: func(s *scheduler.JobStatus) []string {
			return []string{
				strconv.FormatInt(s.ID, 10), s.Kind, jobState(s), fmt.Sprintf("%d of %d", s.Attempt, s.MaxAttempts),
				s.CreatedAt.Format(time.DateTime), jobGist(s),
			}
		},
	}.run(ctx, a)
}

type jobsShowCmd struct {
	ID int64 `arg:"" help:"Number of the job."`
}

// Run shows one job.
func (c *jobsShowCmd) Run(ctx context.Context, a *app) error {
	return a.withJob(ctx, func(d *db.DB) (scheduler.JobStatus, error) { return d.JobStatus(ctx, c.ID) })
}

type jobsCancelCmd struct {
	ID int64 `arg:"" help:"Number of the job."`
}

// Run cancels one job and shows it.
func (c *jobsCancelCmd) Run(ctx context.Context, a *app) error {
	return a.withJob(ctx, func(d *db.DB) (scheduler.JobStatus, error) { return d.CancelJob(ctx, c.ID, a.stamp()) })
}

// withJob opens the database and shows the job that get answers.
func (a *app) withJob(ctx context.Context, get func(*db.DB) (scheduler.JobStatus, error)) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	s, err := get(d)
	if err != nil {
		return err
	}
	return a.showJob(&s)
}

// queue puts a job in the queue and shows it.
func (a *app) queue(ctx context.Context, d *db.DB, args scheduler.JobArgs) error {
	id, err := d.Enqueue(ctx, args)
	if err != nil {
		return err
	}
	s, err := d.JobStatus(ctx, id)
	if err != nil {
		return err
	}
	return a.showJob(&s)
}

func (a *app) showJob(s *scheduler.JobStatus) error {
	return a.show(a.cli.JSON, s, func(w io.Writer) {
		fmt.Fprintf(w, "job %d: %s %s, %s, attempt %d of %d", s.ID, s.Kind, s.Args, jobState(s), s.Attempt, s.MaxAttempts)
		if g := jobGist(s); g != "" {
			fmt.Fprintf(w, "; %s", g)
		}
		fmt.Fprintln(w)
		if len(s.Output) > 0 {
			fmt.Fprintf(w, "  %s\n", s.Output)
		}
	})
}

func jobState(s *scheduler.JobStatus) string {
	if s.Cancelling {
		return "running, being cancelled"
	}
	return s.State
}

// jobGist is how far a running job has come, or why the last attempt failed.
func jobGist(s *scheduler.JobStatus) string {
	switch p := s.Progress; {
	case p != nil && p.Total > 0:
		return fmt.Sprintf("%d of %d, %s", p.Done, p.Total, p.What)
	case p != nil:
		return fmt.Sprintf("%d %s", p.Done, p.What)
	}
	return s.Error
}
