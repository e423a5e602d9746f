package jobs

import (
	"context"
	"time"

	"limbround/scheduler"
)

// UndoStore takes a batch back, in one transaction: rows it made go, rows it
// changed are as they were. It returns Clash when later work stands on the
// batch, and NotFound when there is none of that number.
type UndoStore interface {
	UndoBatch(ctx context.Context, batch int64, by scheduler.Stamp) (scheduler.UndoResult, error)
}

// ImportUndo takes an applied import back.
type ImportUndo struct {
	Store UndoStore
	Now   func() time.Time
}

// ImportUndoRequest names the batch.
type ImportUndoRequest struct {
	Batch int64
	Actor string
}

// Run undoes the batch and says what was removed and what restored.
func (u ImportUndo) Run(ctx context.Context, q ImportUndoRequest) (scheduler.UndoResult, error) {
	if q.Batch <= 0 {
		return scheduler.UndoResult{}, scheduler.Errorf(scheduler.Invalid, "batch %d: a batch number is positive; the import printed it", q.Batch)
	}
	return u.Store.UndoBatch(ctx, q.Batch, scheduler.Stamp{Actor: q.Actor, At: u.Now()})
}
