package main

import (
	"context"
	"fmt"
	"io"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type importApplyCmd struct {
	Batch int64 `arg:"" help:"Batch as printed by import --hold."`
	Queue bool  `help:"Leave it to a worker, and print the job."`
}

// Run applies a held batch here, or queues that for a worker.
func (c *importApplyCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	if c.Queue {
		b, err := d.Batch(ctx, c.Batch)
		if err == nil {
			err = b.MayApply()
		}
		if err != nil {
			return err
		}
		return a.queue(ctx, d, jobs.ImportApplyArgs{Batch: b.ID, Actor: a.stamp().Actor})
	}
	res, err := jobs.ImportApply{Store: d, Now: a.now}.Run(ctx, jobs.ImportApplyRequest{Batch: c.Batch, Actor: a.stamp().Actor})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) {
		if res.Already {
			fmt.Fprintf(w, "Batch %d (%s) had been applied before.\n", res.Batch, res.Layer)
			return
		}
		fmt.Fprintf(w, "Batch %d (%s) is applied: read %d, accepted %d (unchanged %d, merged %d), rejected %d.\n",
			res.Batch, res.Layer, res.Counts.Read, res.Counts.Accepted, res.Counts.Unchanged, res.Counts.Merged, res.Counts.Rejected)
	})
}

type importDropCmd struct {
	Batch int64 `arg:"" help:"Batch as printed by import --hold, or of an import that was broken off."`
}

// dropped is the answer with --json.
type dropped struct {
	Batch int64 `json:"batch"`
}

// Run drops the batch; nothing of it had been brought in.
func (c *importDropCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	if c.Batch <= 0 {
		return scheduler.Errorf(scheduler.Invalid, "batch %d: a batch number is positive", c.Batch)
	}
	if err := d.DiscardBatch(ctx, c.Batch, a.stamp()); err != nil {
		return err
	}
	return a.show(a.cli.JSON, dropped{c.Batch}, func(w io.Writer) { fmt.Fprintf(w, "Batch %d is dropped.\n", c.Batch) })
}
