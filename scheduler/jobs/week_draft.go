package jobs

import (
	"context"
	"fmt"
	"time"

	"limbround/scheduler"
)

// WeekDraft drafts the packets of a working week, Monday to Friday, for the
// dispatcher to look at. What is there already stays as it is.
type WeekDraft struct {
	Store    PackStore
	Now      func() time.Time
	Progress Tell // may be nil
}

// WeekDraftRequest names the week.
type WeekDraftRequest struct {
	Monday scheduler.Date
	Actor  string
}

// WeekDraftResult is what was built, or why nothing was.
type WeekDraftResult struct {
	Monday  scheduler.Date `json:"monday"`
	Skipped string         `json:"skipped,omitempty"` // why nothing was drafted
	From    scheduler.Date `json:"from"`              // first day drafted
	*PackResult
}

// Run drafts the days of the week that are not over. A draft made late, after an
// outage, takes the rest of the week; a week that is over is reported, not drafted.
func (w WeekDraft) Run(ctx context.Context, q WeekDraftRequest) (WeekDraftResult, error) {
	out := WeekDraftResult{Monday: q.Monday}
	if q.Monday.Monday() != q.Monday {
		return out, scheduler.Errorf(scheduler.Invalid, "week of %s: that day is not a Monday", q.Monday)
	}
	today, err := Today(ctx, w.Store, w.Now())
	if err != nil {
		return out, err
	}
	friday := q.Monday.AddDays(4)
	if today > friday {
		out.Skipped = fmt.Sprintf("the week of %s was over on %s", q.Monday, today)
		return out, nil
	}
	out.From = max(q.Monday, today)
	res, err := Pack(w).Run(ctx, PackRequest{
		From: out.From, Days: int(friday-out.From) + 1, Actor: q.Actor,
	})
	out.PackResult = &res
	return out, err
}
