// Command chaosrun kills Limbround at random moments and shows that nothing is
// half done, lost or doubled.
//
// It runs the same inputs through two installations: a twin that nobody
// disturbs, and one in which the server, the worker, the command at work, the
// database server, or all of them at once are killed with SIGKILL. For each action
// the twin goes first and shows how long it takes; the kill then comes at a moment
// drawn uniformly from that time, and counts only when it interrupted the
// action. After each kill what died is started again, the rules of
// invariants.sql are checked, and the action is repeated until it is done.
// At the end of every round both installations must hold the same facts (facts.sql).
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx)
	stop()
	os.Exit(code)
}

// settings are what the command line asks for.
type settings struct {
	bin, sql string
	kills    int
	minutes  float64
	seed     uint64
	trees    int
}

func run(ctx context.Context) int {
	var s settings
	flag.StringVar(&s.bin, "bin", "", "the limbround program")
	flag.StringVar(&s.sql, "sql", "deploy", "directory of invariants.sql and facts.sql")
	flag.IntVar(&s.kills, "kills", 10, "kills that must hit a running step")
	flag.Float64Var(&s.minutes, "minutes", 0, "go on for so long instead of counting kills")
	flag.Uint64Var(&s.seed, "seed", 1, "seed of the city, of the records and of the kills")
	flag.IntVar(&s.trees, "trees", 2000, "trees of the invented city")
	flag.Parse()
	if s.bin == "" || flag.NArg() > 0 || s.kills < 1 {
		fmt.Fprintln(os.Stderr, "usage: deploy/chaos [--minutes N | --kills N] [--seed S] [--trees N]")
		return 2
	}
	home, err := makeHome()
	if err != nil {
		fmt.Fprintln(os.Stderr, "chaos:", err)
		return 1
	}
	c := &chaos{settings: s, home: home, began: time.Now()}
	err = c.run(ctx)
	c.report(os.Stdout)
	switch {
	case err != nil:
		fmt.Fprintln(os.Stderr, "chaos:", err)
	case len(c.broken) == 0:
		err = os.RemoveAll(home)
	default:
		err = errors.New("rules were broken")
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "chaos: everything is kept in", home)
		return 1
	}
	return 0
}

// makeHome makes a directory that the database server's user can reach.
func makeHome() (string, error) {
	dir, err := os.MkdirTemp("/tmp", "limbround-chaos-")
	if err != nil {
		return "", err
	}
	return dir, os.Chmod(dir, 0o755)
}

// chaos is one whole run.
type chaos struct {
	settings
	home   string
	began  time.Time
	twin   *house // nobody disturbs it
	victim *house
	killer *killer
	tally  tally
	broken []violation
	facts  int // lines compared at the end of the last round
}

func (c *chaos) run(ctx context.Context) error {
	bin, err := filepath.Abs(c.bin)
	if err != nil {
		return err
	}
	c.bin = bin
	story, err := newStory(ctx, c)
	if err != nil {
		return err
	}
	c.killer = newKiller(c.seed, c.quota())
	for _, h := range []**house{&c.twin, &c.victim} {
		name := map[**house]string{&c.twin: "twin", &c.victim: "victim"}[h]
		if *h, err = openHouse(ctx, c.bin, filepath.Join(c.home, name), story.zone); err != nil {
			return fmt.Errorf("open %s: %w", name, err)
		}
		defer (*h).close()
	}
	if err := c.round(ctx, story.load()); err != nil {
		return err
	}
	for n := 1; !c.enough(n); n++ {
		actions, err := story.round(n)
		if err != nil {
			return err
		}
		if err := c.round(ctx, actions); err != nil {
			return err
		}
	}
	if err := c.sweep(ctx, story); err != nil {
		return err
	}
	if n := c.killer.left(); n > 0 && c.minutes == 0 {
		return fmt.Errorf("%d of %d kills hit no running step", n, c.kills)
	}
	return nil
}

// quota is how many kills each step is to take in all.
func (c *chaos) quota() map[string]int {
	quota := make(map[string]int)
	for i, step := range steps {
		quota[step] = c.kills / len(steps)
		if i < c.kills%len(steps) {
			quota[step]++
		}
		if c.minutes > 0 {
			quota[step] = 1 << 30
		}
	}
	return quota
}

// enough ends the rounds: the kills are made, or the time is up, or the kills
// miss so often that something is wrong.
func (c *chaos) enough(round int) bool {
	if c.minutes > 0 {
		return time.Since(c.began).Minutes() >= c.minutes
	}
	return c.killer.left() == 0 || round > 10+c.kills
}
