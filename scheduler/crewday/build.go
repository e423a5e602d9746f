package crewday

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/route"
)

// maxDays is the span of days that one call may fill.
const maxDays = 60

// build is one call of Build on its way from request to packets.
type build struct {
	r        *Request
	fleet    fleet
	ground   ground
	jobs     []int // indexes into r.Jobs of the problem's stops, in their order
	problem  route.Problem
	unserved []scheduler.Unserved
}

// Build packs the visits. Each is in one packet or in Unserved with its reason,
// once. It fails with Invalid when the request contradicts itself, and with
// Unavailable when ctx ends before there is a plan. The request's limit never
// fails it: what is best by then is the plan.
func Build(ctx context.Context, r Request) (Result, error) {
	now := r.Now
	if now == nil {
		now = func() time.Time { return time.Time{} }
	}
	start := now()
	b := &build{r: &r}
	var err error
	if b.fleet, err = newFleet(&r); err != nil {
		return Result{}, err
	}
	b.screen()
	if b.ground, err = newGround(ctx, b); err != nil {
		return Result{}, ended(err)
	}
	b.state()
	if len(b.jobs) == 0 {
		return Result{Unserved: b.leftOut(), Idle: b.fleet.idle, Seconds: now().Sub(start).Seconds()}, nil
	}
	search, done := ctx, func() {}
	if r.Limit > 0 {
		search, done = context.WithTimeout(ctx, r.Limit)
	}
	defer done()
	solved, err := route.Solve(search, b.problem, route.Limits{Seed: r.Seed, Iterations: r.Iterations, Now: r.Now})
	if err != nil {
		return Result{}, ended(err)
	}
	if err := route.Check(&b.problem, &solved); err != nil {
		return Result{}, scheduler.Wrap(scheduler.Internal, "check crew-days", err)
	}
	out := b.packets(&solved)
	out.Idle = b.fleet.idle
	out.Iterations = solved.Iterations
	out.Seconds = now().Sub(start).Seconds()
	return out, nil
}

func ended(err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		e := scheduler.Wrap(scheduler.Unavailable, "build crew-days", err)
		e.Hint = "give the build more time"
		return e
	}
	return fmt.Errorf("build crew-days: %w", err)
}

// leaveOut notes a visit that no packet takes.
func (b *build) leaveOut(job int, format string, args ...any) {
	b.unserved = append(b.unserved, scheduler.Unserved{
		VisitID: b.r.Jobs[job].Visit.ID, Reason: fmt.Sprintf(format, args...),
	})
}

// leftOut is the visits that no packet takes, in order of their ids.
func (b *build) leftOut() []scheduler.Unserved {
	slices.SortFunc(b.unserved, func(x, y scheduler.Unserved) int { return cmp.Compare(x.VisitID, y.VisitID) })
	return b.unserved
}
