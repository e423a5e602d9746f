package route

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"
)

// Solve makes a plan: cheapest insertion, ruin and recreate under simulated
// annealing, then an exact pass stop by stop that leaves nothing out which some
// vehicle could still take. The deadline of ctx counts from the call. When it
// passes, the best plan so far is finished and returned; when ctx is cancelled,
// its error is. Every problem that passes Validate has a plan: what cannot be
// made is listed with its cause.
func Solve(ctx context.Context, p Problem, l Limits) (Result, error) {
	if err := p.Validate(); err != nil {
		return Result{}, fmt.Errorf("check problem: %w", err)
	}
	w := newWatch(ctx, l)
	m := newModel(&p)
	m.cut(false)
	best := newState(m)
	iterations := 0
	if len(p.Vehicles) > 0 && len(p.Stops) > 0 {
		m.neighbours()
		best.construct(w.ctx)
		iterations = best.anneal(w, l.Seed)
	}
	if errors.Is(ctx.Err(), context.Canceled) {
		return Result{}, fmt.Errorf("solve: %w", ctx.Err())
	}
	r := finishPlan(best)
	r.Iterations, r.Seed = iterations, l.Seed
	return r, nil
}

// watch tells how far a search has come, by rounds or by the clock.
type watch struct {
	ctx        context.Context
	iterations int
	now        func() time.Time
	start, end time.Time
}

// reserve is the part of the time that is kept for the last pass.
const reserve = 0.05

func newWatch(ctx context.Context, l Limits) *watch {
	w := &watch{ctx: ctx, iterations: l.Iterations}
	if end, ok := ctx.Deadline(); ok && l.Now != nil {
		w.now, w.start = l.Now, l.Now()
		w.end = end.Add(-time.Duration(reserve * float64(end.Sub(w.start))))
	}
	return w
}

// progress is from 0 at the start to 1 or more when the search must end.
func (w *watch) progress(round, byDefault int) float64 {
	if w.ctx.Err() != nil {
		return 1
	}
	f := 0.0
	if w.now != nil {
		f = float64(w.now().Sub(w.start)) / float64(max(w.end.Sub(w.start), 1))
	}
	n := w.iterations
	if n == 0 && w.now == nil {
		n = byDefault
	}
	if n > 0 {
		f = max(f, float64(round)/float64(n))
	}
	return f
}

// Temperatures of the annealing as shares of the mean seconds of driving,
// set-up and dumping for each atom; found by trial on made-up tree weeks.
const (
	hotShare  = 0.5
	coldShare = 0.005
	lookEvery = 32 // rounds between looks at the clock
)

// anneal improves the state until the watch ends and leaves it at the best plan
// found. It returns the number of rounds.
func (s *state) anneal(w *watch, seed int64) int {
	c := newSearch(s, seed)
	best := newState(s.m)
	best.copyFrom(s)
	scale := s.meanOverhead()
	hot, cold := scale*hotShare, scale*coldShare
	temperature := hot
	byDefault := min(200_000, 5_000+100*len(s.at))
	round := 0
	for ; ; round++ {
		if w.iterations > 0 && round >= w.iterations {
			break
		}
		if round%lookEvery == 0 {
			f := w.progress(round, byDefault)
			if f >= 1 {
				break
			}
			temperature = hot * math.Pow(cold/hot, f)
		}
		before := s.total
		c.ruin()
		c.recreate()
		if d := s.total - before; d > 0 && float64(d) >= -temperature*math.Log(1-c.r.Float64()) {
			c.undo()
		} else if s.total < best.total {
			best.copyFrom(s)
		}
	}
	s.before = nil
	s.copyFrom(best)
	return round
}

// meanOverhead is the mean seconds of paid time for each atom beyond its own
// work, at least one.
func (s *state) meanOverhead() float64 {
	sum, n := 0, 0
	for v := range s.route {
		sum += s.elapsed[v]
		for _, a := range s.route[v] {
			sum -= s.m.atoms[a].work
			n++
		}
	}
	return max(1, float64(sum)/float64(max(n, 1)))
}
