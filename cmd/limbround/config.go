package main

import (
	"context"
	"log/slog"
	"os"
	"os/user"
	"path/filepath"
	"time"

	"limbround/db"
	"limbround/scheduler"
)

// store holds the flags by which every verb finds its database. A flag wins
// over the environment, the environment over the default.
type store struct {
	DatabaseURL string `env:"DATABASE_URL" help:"PostgreSQL connection string; empty runs a private cluster in the data directory." placeholder:"URL"`
	DirectURL   string `env:"DATABASE_DIRECT_URL" help:"Connection that bypasses a pooler, for migrations and locks." placeholder:"URL"`
	Pooled      bool   `env:"DB_POOLED" help:"The database URL leads to a transaction-mode pooler."`
	DataDir     string `env:"LIMBROUND_DATA" help:"Home of the private cluster." type:"path" placeholder:"DIR"`
	PGBin       string `env:"LIMBROUND_PG_BIN" name:"pg-bin" help:"Directory of the PostgreSQL server programs." type:"path" placeholder:"DIR"`
	PGUser      string `env:"LIMBROUND_PG_USER" name:"pg-user" help:"System user that runs the private server when we are root." default:"postgres"`
	AnalystPort int    `env:"LIMBROUND_ANALYST_PORT" help:"Loopback port on which the private cluster also listens, 0 for none."`
	Actor       string `env:"LIMBROUND_ACTOR" help:"Name written into the audit; the system user when empty." placeholder:"NAME"`
	LogLevel    string `env:"LIMBROUND_LOG" help:"debug, info, warn or error." enum:"debug,info,warn,error" default:"warn"`
}

// logger writes structured lines to standard error.
func (a *app) logger(level string) *slog.Logger {
	var l slog.Level
	_ = l.UnmarshalText([]byte(level)) // kong has checked the word
	return slog.New(slog.NewJSONHandler(a.err, &slog.HandlerOptions{Level: l}))
}

// dataDir is the data directory to use: the flag, or a folder of the user's own.
func (s *store) dataDir() string {
	if s.DataDir != "" {
		return s.DataDir
	}
	if os.Geteuid() == 0 {
		return "/var/lib/limbround"
	}
	if d := os.Getenv("XDG_DATA_HOME"); d != "" {
		return filepath.Join(d, "limbround")
	}
	home, err := os.UserHomeDir()
	if err != nil {
		home = "."
	}
	return filepath.Join(home, ".local", "share", "limbround")
}

// open opens the database without looking at its schema.
func (a *app) open(ctx context.Context) (*db.DB, error) {
	s := &a.cli.store
	dir, err := filepath.Abs(s.dataDir())
	if err != nil {
		return nil, scheduler.Wrap(scheduler.Invalid, "find data directory "+s.dataDir(), err)
	}
	return db.Open(ctx, db.Config{
		URL: s.DatabaseURL, DirectURL: s.DirectURL, Pooled: s.Pooled, DataDir: dir,
		PGBin: s.PGBin, PGUser: s.PGUser, AnalystPort: s.AnalystPort, Log: a.logger(s.LogLevel),
	})
}

// stamp is the mark of a write made from the command line.
func (a *app) stamp() scheduler.Stamp {
	actor := a.cli.Actor
	if actor == "" {
		actor = "command line"
		if u, err := user.Current(); err == nil && u.Username != "" {
			actor = u.Username
		}
	}
	return scheduler.Stamp{Actor: actor, At: a.now()}
}

// today is the civil date in the city's time zone.
func (a *app) today(city scheduler.City) (scheduler.Date, error) {
	zone, err := time.LoadLocation(city.TimeZone)
	if err != nil {
		return 0, scheduler.Errorf(scheduler.Invalid, "time zone %q of the city is not known here", city.TimeZone)
	}
	return scheduler.DateOf(a.now().In(zone)), nil
}
