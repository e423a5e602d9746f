package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

	"limbround/db"
	"limbround/scheduler"
)

type doctorCmd struct{}

// Run lists what it found and fails when something is missing.
func (c *doctorCmd) Run(ctx context.Context, a *app) error {
	s := &a.cli.store
	dir, err := filepath.Abs(s.dataDir())
	if err != nil {
		return scheduler.Wrap(scheduler.Invalid, "find data directory "+s.dataDir(), err)
	}
	checks := db.Doctor(ctx, db.Config{
		URL: s.DatabaseURL, DirectURL: s.DirectURL, Pooled: s.Pooled, DataDir: dir, PGBin: s.PGBin, PGUser: s.PGUser,
		Log: a.logger(s.LogLevel),
	}, a.now())
	bad := 0
	for _, k := range checks {
		if !k.OK {
			bad++
		}
	}
	err = a.show(a.cli.JSON, map[string]any{"checks": checks, "failed": bad}, func(w io.Writer) {
		var rows [][]string
		for _, k := range checks {
			word := "ok"
			if !k.OK {
				word = "MISSING"
			}
			rows = append(rows, []string{word, k.Name, k.Detail})
			if k.Hint != "" {
				rows = append(rows, []string{"", "", k.Hint})
			}
		}
		table(w, []string{"", "check", "found"}, rows)
	})
	if err == nil && bad > 0 {
		err = scheduler.Errorf(scheduler.Unavailable, "%s found missing", plural(bad, "thing"))
	}
	return err
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
