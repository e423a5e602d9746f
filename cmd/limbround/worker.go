package main

import (
	"context"
	"fmt"
)

type workerCmd struct{}

// Run works off background jobs until it is stopped or its database is gone.
func (c *workerCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	stop, err := a.startWork(ctx, d, a.logger(a.cli.LogLevel))
	if err != nil {
		return err
	}
	fmt.Fprintln(a.out, "Working off background jobs until stopped.")
	err = a.await(ctx, d, nil)
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), grace)
	defer cancel()
	if stopped := stop(end); err == nil {
		err = stopped
	}
	return err
}
