package main

import (
	"context"
	"fmt"
	"path/filepath"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type demoCmd struct {
	Once  bool   `help:"Stop after the summary of the loop instead of serving."`
	Trees int    `help:"Trees of the invented city." default:"12000"`
	Seed  uint64 `help:"Seed of the invented city." default:"1"`
	Addr  string `help:"Address to serve on." default:"127.0.0.1:8470"`
	Work  string `help:"Directory for the city's files; beside the data directory when empty." type:"path" placeholder:"DIR"`
}

// demoLayers are imported in this order: what others point at comes first.
var demoLayers = [...]string{"districts", "sections", "streets", "walks", "wires", "signs", "depots", "dumps", "crews", "trees", "history"}

// Run carries an invented city through the whole loop. On a database that
// holds it already, each step finds little or nothing to do.
func (c *demoCmd) Run(ctx context.Context, a *app) error {
	if a.cli.DatabaseURL == "" && a.cli.DataDir == "" {
		a.cli.DataDir = filepath.Join(a.cli.dataDir(), "demo")
	}
	if c.Work == "" {
		c.Work = filepath.Join(a.cli.dataDir()+".city", fmt.Sprintf("%d-trees-seed-%d", c.Trees, c.Seed))
	}
	d, err := a.open(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Migrate(ctx, a.stamp()); err != nil {
		return err
	}
	l := &loop{app: a, db: d, cmd: c}
	if err := l.run(ctx); err != nil {
		return err
	}
	if c.Once {
		return nil
	}
	secret, err := l.token(ctx)
	if err != nil {
		return err
	}
	return a.serve(ctx, d, c.Addr, true, func(addr string) {
		fmt.Fprintf(a.out, "\nThe desks: http://%s/  (Ctrl-C stops them)\nSign in with this token: %s\n", addr, secret)
		fmt.Fprintf(a.out, "\nexport API=http://%s/api/v1\nexport TOKEN=%s\n", addr, secret)
	})
}

// loop is the main job from end to end, printing each step.
type loop struct {
	*app
	db  *db.DB
	cmd *demoCmd
}

func (l *loop) step(format string, args ...any) { fmt.Fprintf(l.out, "\n== "+format+"\n", args...) }

func (l *loop) run(ctx context.Context) error {
	if err := l.makeCity(ctx); err != nil {
		return err
	}
	if err := l.importAll(ctx); err != nil {
		return err
	}
	if err := l.due(ctx); err != nil {
		return err
	}
	monday, err := l.plan(ctx)
	if err != nil {
		return err
	}
	packet, err := l.pack(ctx, monday)
	if err != nil {
		return err
	}
	return l.work(ctx, packet)
}

func (l *loop) makeCity(ctx context.Context) error {
	l.step("An invented city, %d trees, seed %d", l.cmd.Trees, l.cmd.Seed)
	// Planting and past work end with the last year, so that the files of two
	// runs are the same on every day of this one.
	asOf := scheduler.NewDate(scheduler.DateOf(l.now()).Year(), 9, 1)
	res, err := jobs.CityMake{Now: l.now, Progress: l.progress("trees")}.Run(ctx, jobs.CityMakeRequest{Trees: l.cmd.Trees, Seed: l.cmd.Seed, AsOf: asOf, Out: l.cmd.Work})
	if err != nil {
		return err
	}
	fmt.Fprintf(l.out, "%s: %d street blocks, %d trees, %d past visits, in %s\n", res.Name, res.Counts["streets"], res.Trees, res.Counts["history"], l.cmd.Work)
	if err := l.rules(ctx); err != nil {
		return err
	}
	city, err := l.db.City(ctx)
	if err != nil || city.Name != "" {
		return err
	}
	city.Name, city.TimeZone, city.Units = res.Name, "America/Indiana/Indianapolis", "us"
	city.Emergency, city.Hospital, city.UtilityPhone = "911", "Larkin General, 12 Weir Street (invented)", "555 0100 (invented)"
	return l.db.SetCity(ctx, city, l.stamp())
}

// rules adopts the preset of the climate that the city is set in; the same
// preset again is the version it has.
func (l *loop) rules(ctx context.Context) error {
	src, err := scheduler.Preset("lower-midwest")
	if err != nil {
		return err
	}
	p, err := scheduler.ParsePolicy(src)
	if err != nil {
		return err
	}
	_, err = l.db.AddPolicy(ctx, src, p, l.stamp())
	return err
}

// token gives the demo's visitor a fresh secret and ends those of earlier runs.
func (l *loop) token(ctx context.Context) (string, error) {
	const visitor = "demo visitor"
	old, err := l.db.ListTokens(ctx)
	if err != nil {
		return "", err
	}
	for _, t := range old {
		if t.Actor == visitor {
			if err := l.db.RevokeToken(ctx, t.ID, l.stamp()); err != nil {
				return "", err
			}
		}
	}
	return l.db.AddToken(ctx, visitor, scheduler.RoleManager, l.now().AddDate(0, 1, 0), l.stamp())
}
