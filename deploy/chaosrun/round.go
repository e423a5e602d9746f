package main

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// round does the actions one after the other, first in the twin, then in the
// house that suffers, and compares what both know in the end.
func (c *chaos) round(ctx context.Context, actions []*action) error {
	for _, a := range actions {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		usual, err := c.usual(ctx, a)
		if err != nil {
			return fmt.Errorf("the undisturbed twin: %s: %w", a.name, err)
		}
		if err := c.suffer(ctx, a, usual); err != nil {
			return fmt.Errorf("%s: %w", a.name, err)
		}
	}
	return c.compare()
}

// usual does the action in the twin and answers how long it takes.
func (c *chaos) usual(ctx context.Context, a *action) (time.Duration, error) {
	do, err := a.prepare(ctx, c.twin)
	if err != nil {
		return 0, err
	}
	began := time.Now()
	err = do()
	return time.Since(began), err
}

// suffer does the action until it is done, with kills between.
func (c *chaos) suffer(ctx context.Context, a *action, usual time.Duration) error {
	for hits := 0; ; {
		if hits > 0 && a.settled != nil {
			if ok, err := a.settled(c.victim); err != nil || ok {
				return err
			}
		}
		do, err := a.prepare(ctx, c.victim)
		if err != nil {
			return err
		}
		if !c.killer.wants(a, hits) {
			err := do()
			if err == nil && hits > 0 {
				return c.check(a, "none", true)
			}
			if err != nil {
				c.violated(a, "none", "action_not_repeatable", fmt.Sprintf("after %d interruptions: %v", hits, err))
			}
			return err
		}
		hit, err := c.interrupt(ctx, a, do, usual)
		if err != nil {
			return err
		}
		if !hit {
			return nil
		}
		hits++
	}
}

// interrupt does the action, kills a part of the house on the way, and brings
// the house back. It reports whether the action was still under way, so that
// whoever asked for it does not know what became of it.
func (c *chaos) interrupt(ctx context.Context, a *action, do func() error, usual time.Duration) (hit bool, err error) {
	victim, after := c.killer.draw(a, usual)
	done := make(chan error, 1)
	go func() { done <- do() }()
	select {
	case err := <-done: // over before the moment: nobody is killed
		c.tally.at(a.step, victim).missed++
		return false, err
	case <-time.After(after):
	}
	c.victim.strike(victim)
	err = <-done
	hit = err != nil
	for _, wrong := range c.victim.settle(victim) {
		c.violated(a, victim, "bad_end", wrong)
	}
	if err := c.victim.up(ctx); err != nil {
		c.violated(a, victim, "no_recovery", err.Error())
		return hit, err
	}
	t := c.tally.at(a.step, victim)
	t.recovered++
	if hit {
		t.hits++
		c.killer.hit(a.step, victim)
		fmt.Printf("%6.1fs  %-8s %-34s killed %-8s after %4d of %4d ms\n", time.Since(c.began).Seconds(), a.step, a.name, victim, after.Milliseconds(), usual.Milliseconds())
	} else {
		t.missed++
	}
	var f *failed
	if errors.As(err, &f) && f.code != -1 && f.code != 5 {
		return hit, fmt.Errorf("killed %s: %w", victim, err)
	}
	return hit, c.check(a, victim, false)
}
