package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"limbround/api"
	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type serveCmd struct {
	Addr     string `env:"LIMBROUND_ADDR" help:"Address to listen on; loopback unless you say otherwise." default:"127.0.0.1:8470"`
	NoWorker bool   `help:"Run no background jobs in this process."`
}

// Run serves until it is stopped.
func (c *serveCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	return a.serve(ctx, d, c.Addr, !c.NoWorker, func(addr string) {
		fmt.Fprintf(a.out, "Serving on http://%s/ until stopped. Give people tokens with: limbround token add NAME\n", addr)
	})
}

// grace is how long requests and jobs under way may take to end after a stop.
const grace = 20 * time.Second

// serve runs the server, and the background jobs when work is set, until ctx
// is done or the database's server is gone. It tells ready the address.
func (a *app) serve(ctx context.Context, d *db.DB, addr string, work bool, ready func(addr string)) error {
	log := a.logger(a.cli.LogLevel)
	h, err := api.New(api.Config{
		Store: d, Tokens: d, Health: d, Verbs: a.verbs(d), Log: log, Now: a.now, Version: version(),
	})
	if err != nil {
		return err
	}
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", addr)
	if err != nil {
		return scheduler.Wrap(scheduler.Unavailable, "listen on "+addr, err)
	}
	stopWork := func(context.Context) error { return nil }
	if work {
		if stopWork, err = a.startWork(ctx, d, log); err != nil {
			return errors.Join(err, l.Close())
		}
	}
	srv := &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn)}
	failed := make(chan error, 1)
	go func() { failed <- srv.Serve(l) }()
	ready(l.Addr().String())
	err = a.await(ctx, d, failed)
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), grace)
	defer cancel()
	return errors.Join(err, srv.Shutdown(end), stopWork(end))
}

// await returns nil when we are asked to stop, and otherwise what ended us.
func (a *app) await(ctx context.Context, d *db.DB, failed <-chan error) error {
	select {
	case <-ctx.Done():
		return nil
	case <-d.Gone():
		return scheduler.Errorf(scheduler.Unavailable, "the private database server has stopped; the process that ran it ended")
	case err := <-failed:
		return scheduler.Wrap(scheduler.Unavailable, "serve", err)
	}
}

// startWork runs background jobs and the schedules; the returned function ends both.
func (a *app) startWork(ctx context.Context, d *db.DB, log *slog.Logger) (func(context.Context) error, error) {
	cron, stop, err := a.startJobs(ctx, d, log)
	if err != nil {
		return nil, err
	}
	ticking, cancel := context.WithCancel(context.WithoutCancel(ctx))
	go cron.Run(ticking)
	return func(ctx context.Context) error {
		cancel()
		return stop(ctx)
	}, nil
}

// startJobs runs background jobs until stop is called, and answers the
// schedules, which do not tick yet.
func (a *app) startJobs(ctx context.Context, d *db.DB, log *slog.Logger) (cron *jobs.Cron, stop func(context.Context) error, err error) {
	if cron, err = jobs.NewCron(d, a.now, log, jobs.Schedules()); err != nil {
		return nil, nil, err
	}
	w, err := jobs.Workers(jobs.Desk{Store: d, Now: a.now, Log: log}, a.funcs(d))
	if err != nil {
		return nil, nil, err
	}
	stop, err = d.StartWorkers(ctx, w)
	return cron, stop, err
}
