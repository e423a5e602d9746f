package db

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"limbround/migrations"
	"limbround/scheduler"
)

// Check is one finding of Doctor.
type Check struct {
	Name   string `json:"name"`
	OK     bool   `json:"ok"`
	Detail string `json:"detail"`
	Hint   string `json:"hint,omitempty"`
}

// leastFree is the free disk space below which Doctor warns: a city of
// 500,000 trees takes about 0.2 GB, and its write-ahead log up to 4 GB.
const leastFree = 5 << 30

const (
	postgisVersionSQL = `SELECT coalesce((SELECT extversion FROM pg_extension WHERE extname = 'postgis'), '')`
	countsSQL         = `
SELECT (SELECT count(*) FROM tree), (SELECT count(*) FROM visit WHERE progress = 'open'),
       (SELECT count(*) FROM packet), (SELECT count(*) FROM work_record)`
	clockSQL = `SELECT extract(epoch FROM clock_timestamp())::float8`
)

// Doctor examines the machine and the database that cfg names, from the disk
// up, and lists what it finds. It opens the database itself, starting the
// private cluster if nobody runs it, and closes it again.
func Doctor(ctx context.Context, cfg Config, now time.Time) []Check {
	var list []Check
	if cfg.URL == "" {
		list = append(list, checkBinaries(cfg), checkDataDir(cfg), checkSpace(cfg.DataDir))
	}
	d, err := Open(ctx, cfg)
	if err != nil {
		return append(list, finding("connect", "", err))
	}
	defer func() {
		if err := d.Close(); err != nil {
			d.cfg.Log.Error("close database", "err", err)
		}
	}()
	return append(list, d.Checks(ctx, now)...)
}

// Checks examines the open database; now is this machine's clock.
func (d *DB) Checks(ctx context.Context, now time.Time) []Check {
	var list []Check
	s, err := d.server(ctx)
	if err == nil {
		err = s.tooOld()
	}
	list = append(list, finding("connect", "PostgreSQL "+s.version, err))
	if err != nil {
		return list
	}
	var postgis string
	if err = d.pool.QueryRow(ctx, postgisVersionSQL).Scan(&postgis); err == nil && postgis == "" {
		err = cmp.Or(s.noPostGIS(), errors.New("the extension is not there yet; limbround migrate adds it"))
	}
	list = append(list, finding("postgis", postgis, err))

	err = d.CheckSchema(ctx)
	list = append(list, finding("schema", fmt.Sprintf("version %d", migrations.Newest), err))
	if err != nil {
		return list
	}
	return append(list, d.checkClock(ctx, now), d.checkZone(ctx, now), d.checkCounts(ctx))
}

// checkClock compares the clocks: expiry is judged by the database's, dates by ours.
func (d *DB) checkClock(ctx context.Context, now time.Time) Check {
	var epoch float64
	err := d.pool.QueryRow(ctx, clockSQL).Scan(&epoch)
	apart := time.Duration((epoch - float64(now.UnixMicro())/1e6) * float64(time.Second)).Round(time.Millisecond)
	if err == nil && apart.Abs() > time.Minute {
		err = &scheduler.Error{
			Kind: scheduler.Unavailable, Message: fmt.Sprintf("this machine and the database are %s apart", apart),
			Hint: "let a time service set both clocks",
		}
	}
	return finding("clock", "within a minute", err)
}

func (d *DB) checkZone(ctx context.Context, now time.Time) Check {
	city, err := d.City(ctx)
	if err != nil {
		return finding("time zone", "", err)
	}
	zone, err := time.LoadLocation(city.TimeZone)
	if err != nil {
		return finding("time zone", "", err)
	}
	return finding("time zone", city.TimeZone+", today is "+scheduler.DateOf(now.In(zone)).String(), nil)
}

func (d *DB) checkCounts(ctx context.Context) Check {
	var trees, visits, packets, records int64
	err := d.pool.QueryRow(ctx, countsSQL).Scan(&trees, &visits, &packets, &records)
	detail := fmt.Sprintf("%d trees, %d open visits, %d packets, %d work records", trees, visits, packets, records)
	return finding("counts", detail, failed("count rows", err))
}

func checkDataDir(cfg Config) Check {
	if !filepath.IsAbs(cfg.DataDir) {
		return finding("data directory", "", scheduler.Errorf(scheduler.Invalid, "%q must be an absolute path", cfg.DataDir))
	}
	_, err := os.Stat(cfg.DataDir)
	if errors.Is(err, os.ErrNotExist) {
		return finding("data directory", cfg.DataDir+" (made at the first start)", nil)
	}
	return finding("data directory", cfg.DataDir, err)
}

// finding makes a Check of an error, or of the detail when there is none.
func finding(name, detail string, err error) Check {
	if err == nil {
		return Check{Name: name, OK: true, Detail: detail}
	}
	c := Check{Name: name, Detail: strings.TrimSpace(err.Error())}
	var own *scheduler.Error
	if errors.As(err, &own) {
		c.Hint = own.Hint
	}
	return c
}
