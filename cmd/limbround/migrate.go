package main

import (
	"context"
	"fmt"
	"io"

	"limbround/db"
	"limbround/migrations"
)

type migrateCmd struct{}

// Run brings the schema up to date; running it again changes nothing.
func (c *migrateCmd) Run(ctx context.Context, a *app) error {
	d, err := a.open(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Migrate(ctx, a.stamp()); err != nil {
		return err
	}
	return a.show(a.cli.JSON, map[string]int{"schema": migrations.Newest}, func(w io.Writer) {
		fmt.Fprintf(w, "The database has schema %d.\n", migrations.Newest)
	})
}

// ready opens the database and answers it migrated: a private cluster is
// brought up to date on the way, another database only when its owner asks for it.
func (a *app) ready(ctx context.Context) (*db.DB, error) {
	d, err := a.open(ctx)
	if err != nil {
		return nil, err
	}
	if a.cli.DatabaseURL == "" {
		err = d.Migrate(ctx, a.stamp())
	} else {
		err = d.CheckSchema(ctx)
	}
	if err != nil {
		_ = d.Close() // the first error says more
		return nil, err
	}
	return d, nil
}
