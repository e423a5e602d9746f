package db

import (
	"context"
	"fmt"

	"limbround/scheduler"
)

const serverSQL = `
SELECT current_setting('server_version'), current_setting('server_version_num')::int,
       EXISTS (SELECT FROM pg_available_extensions WHERE name = 'postgis')`

// serverFacts is what a PostgreSQL server, ours or the city's own, says of itself.
type serverFacts struct {
	version string // as people write it: "15.8"
	number  int    // major * 10000 + minor
	postgis bool   // the extension's files are installed beside it
}

func (d *DB) server(ctx context.Context) (s serverFacts, err error) {
	err = d.pool.QueryRow(ctx, serverSQL).Scan(&s.version, &s.number, &s.postgis)
	return s, failed("reach database", err)
}

// tooOld fails when the server's major version is not supported.
func (s serverFacts) tooOld() error {
	if s.number >= oldestMajor*10000 {
		return nil
	}
	return &scheduler.Error{
		Kind: scheduler.Unavailable, Message: fmt.Sprintf("PostgreSQL %s is older than %d", s.version, oldestMajor),
		Hint: fmt.Sprintf("move the database to PostgreSQL %d or newer by dump and restore", oldestMajor),
	}
}

// noPostGIS fails when the server cannot be given the extension.
func (s serverFacts) noPostGIS() error {
	if s.postgis {
		return nil
	}
	return &scheduler.Error{
		Kind: scheduler.Unavailable, Message: "the server with PostgreSQL " + s.version + " has no PostGIS",
		Hint: fmt.Sprintf("install it there (on Debian: apt-get install postgresql-%d-postgis-3), then run: limbround migrate", s.number/10000),
	}
}
