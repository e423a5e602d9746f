package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// violation is one broken rule, and what was killed when it was seen.
type violation struct{ step, victim, rule, what string }

func (c *chaos) violated(a *action, victim, rule, what string) {
	c.broken = append(c.broken, violation{a.step, victim, rule, what})
	c.tally.at(a.step, victim).violations++
	fmt.Printf("        VIOLATION %s: %s (%s, killed %s)\n", rule, what, a.name, victim)
}

// drainWait bounds the wait for queued jobs; a job of a dead worker must have
// been taken up by then.
const drainWait = 90 * time.Second

// check runs the rules over the house. The rules that hold only while nobody
// works are asked for when idle is set, after the queue has been worked off.
func (c *chaos) check(a *action, victim string, idle bool) error {
	if idle {
		if err := c.victim.drain(); err != nil {
			return err
		}
	}
	rows, err := c.victim.sql("-f", filepath.Join(c.sql, "invariants.sql"))
	if err != nil {
		return err
	}
	for _, r := range rows {
		if !idle && strings.HasPrefix(r[0], "idle_") {
			continue
		}
		c.violated(a, victim, r[0], strings.Join(r[1:], ": "))
	}
	return nil
}

const openJobs = `SELECT count(*) FROM river_job WHERE state IN ('available', 'pending', 'retryable', 'running', 'scheduled')`

// drain waits until no job waits or runs. What is left after a while is for the rules to judge.
func (h *house) drain() error {
	for began := time.Now(); time.Since(began) < drainWait; time.Sleep(50 * time.Millisecond) {
		rows, err := h.sql("-c", openJobs)
		if err != nil {
			return err
		}
		if rows[0][0] == "0" {
			return nil
		}
	}
	return nil
}

// compare holds what the twin knows against what the house knows that suffered.
func (c *chaos) compare() error {
	end := &action{step: "round", name: "comparison"}
	if err := c.check(end, "none", true); err != nil {
		return err
	}
	if err := c.complete(end); err != nil {
		return err
	}
	var facts [2][]string
	for i, h := range []*house{c.twin, c.victim} {
		rows, err := h.sql("-f", filepath.Join(c.sql, "facts.sql"))
		if err != nil {
			return err
		}
		for _, r := range rows {
			facts[i] = append(facts[i], strings.Join(r, "\t"))
		}
	}
	c.facts = len(facts[0])
	list := differences(facts[0], facts[1])
	for _, d := range list {
		c.violated(end, "none", "other_than_twin", d)
	}
	if len(list) > 0 {
		return errors.New("the two installations hold different facts: what follows would differ too")
	}
	return nil
}

// complete holds a run of the rules over the changed trees against one over
// all: when a note of a changed tree was lost, the second finds something to write.
func (c *chaos) complete(end *action) error {
	for _, h := range []*house{c.twin, c.victim} {
		if _, err := h.run("due"); err != nil {
			return err
		}
		out, err := h.run("due", "--full", "--json")
		if err != nil {
			return err
		}
		var r struct {
			Written struct{ New, Changed, Withdrawn int }
		}
		if err := json.Unmarshal(out, &r); err != nil {
			return err
		}
		if w := r.Written; h == c.victim && w.New+w.Changed+w.Withdrawn > 0 {
			c.violated(end, "none", "due_lost_changes", fmt.Sprintf("%+v", w))
		}
	}
	return nil
}

// differences lists the lines that only one of the two has, at most 20 of them.
func differences(twin, victim []string) []string {
	count := make(map[string]int)
	for _, l := range twin {
		count[l]++
	}
	for _, l := range victim {
		count[l]--
	}
	var list []string
	for l, n := range count {
		switch {
		case n > 0:
			list = append(list, fmt.Sprintf("%s [twin only, %d]", l, n))
		case n < 0:
			list = append(list, fmt.Sprintf("%s [interrupted only, %d]", l, -n))
		}
	}
	slices.Sort(list)
	if len(list) > 20 {
		list = append(list[:20], fmt.Sprintf("and %d more lines", len(list)-20))
	}
	return list
}
