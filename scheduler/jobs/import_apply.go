package jobs

import (
	"context"
	"fmt"
	"time"

	"limbround/scheduler"
)

// HoldStore keeps a checked batch for a later decision.
type HoldStore interface {
	// HoldBatch writes the counts of the check to the staged batch.
	HoldBatch(ctx context.Context, batch int64, counts scheduler.BatchCounts, by scheduler.Stamp) error
}

// ApplyStore has batches that are held.
type ApplyStore interface {
	Batch(ctx context.Context, id int64) (scheduler.Batch, error)
	ApplyBatch(ctx context.Context, batch int64, layer scheduler.Layer, counts scheduler.BatchCounts, by scheduler.Stamp) error
}

// ImportApply applies a batch that was staged, checked and held.
type ImportApply struct {
	Store    ApplyStore
	Now      func() time.Time
	Progress Tell // may be nil
}

// ImportApplyRequest names the batch.
type ImportApplyRequest struct {
	Batch int64
	Actor string
}

// ImportApplyResult is the batch as it stands.
type ImportApplyResult struct {
	Batch   int64                 `json:"batch"`
	Layer   string                `json:"layer"`
	File    string                `json:"file"`
	Counts  scheduler.BatchCounts `json:"counts"`
	Already bool                  `json:"already_applied"` // it had been applied before
	Seconds float64               `json:"seconds"`
}

// Run applies the batch in one transaction. A batch that is applied already is
// no error, so that a worker that died after its commit does no harm. It
// fails with Clash when the batch is not held, and with Stale when another import
// came in between: the file has to be checked again.
func (im ImportApply) Run(ctx context.Context, q ImportApplyRequest) (ImportApplyResult, error) {
	began := im.Now()
	b, err := im.Store.Batch(ctx, q.Batch)
	if err != nil {
		return ImportApplyResult{}, err
	}
	out := ImportApplyResult{Batch: b.ID, Layer: b.Layer, File: b.File, Counts: b.Counts}
	if b.State == "applied" {
		out.Already = true
		return out, nil
	}
	if err := b.MayApply(); err != nil {
		return out, err
	}
	layer, ok := scheduler.LayerNamed(b.Layer)
	if !ok {
		return out, noLayer(b.Layer)
	}
	im.Progress.say(0, 1, fmt.Sprintf("applies %d rows of %s", b.Counts.Accepted, b.Layer))
	if err := im.Store.ApplyBatch(ctx, b.ID, layer, b.Counts, scheduler.Stamp{Actor: q.Actor, At: began}); err != nil {
		return out, err
	}
	out.Seconds = im.Now().Sub(began).Seconds()
	return out, nil
}
