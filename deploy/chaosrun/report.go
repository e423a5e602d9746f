package main

import (
	"fmt"
	"io"
	"text/tabwriter"
	"time"
)

// cell counts what happened to one step when one part was killed.
type cell struct{ hits, missed, recovered, violations int }

// tally is the table of the report, by step and victim.
type tally map[[2]string]*cell

func (t *tally) at(step, victim string) *cell {
	if *t == nil {
		*t = tally{}
	}
	key := [2]string{step, victim}
	if (*t)[key] == nil {
		(*t)[key] = &cell{}
	}
	return (*t)[key]
}

// report prints the table: a kill counts when it interrupted the step.
func (c *chaos) report(out io.Writer) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\nstep\tkilled\tkills\ttoo late\trecovered\tviolations")
	var all cell
	for _, step := range append(append([]string{}, steps...), "round") {
		var sum cell
		for _, victim := range append(append([]string{}, victims...), "none") {
			x := c.tally[[2]string{step, victim}]
			if x == nil {
				continue
			}
			if victim != "none" || x.violations > 0 {
				fmt.Fprintf(w, "%s\t%s\t%d\t%d\t%d\t%d\n", step, victim, x.hits, x.missed, x.recovered, x.violations)
			}
			sum.add(x)
		}
		if step != "round" {
			fmt.Fprintf(w, "%s\tin all\t%d\t%d\t%d\t%d\n", step, sum.hits, sum.missed, sum.recovered, sum.violations)
		}
		all.add(&sum)
	}
	_ = w.Flush() // standard output
	fmt.Fprintf(out, "\n%d kills hit a running step, %d came too late; %d recoveries; %d facts compared with the undisturbed twin; %d violations; seed %d, %s\n",
		all.hits, all.missed, all.recovered, c.facts, len(c.broken), c.seed, time.Since(c.began).Round(time.Second))
}

func (a *cell) add(b *cell) {
	a.hits += b.hits
	a.missed += b.missed
	a.recovered += b.recovered
	a.violations += b.violations
}
