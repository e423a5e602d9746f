package db

import (
	"context"
	"regexp"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// readerRole may read the views and nothing else. It is a group: an analyst's
// own login is a member of it. In the private cluster only members may come in over
// the loopback port.
const readerRole = "limbround_reader"

// DDL takes no parameters, so the server itself quotes the names and the
// password into the statements that these queries answer.
const (
	readerStatementsSQL = `
SELECT 'CREATE ROLE ` + readerRole + ` NOLOGIN' WHERE NOT EXISTS (SELECT FROM pg_roles WHERE rolname = '` + readerRole + `')
UNION ALL SELECT format('GRANT CONNECT ON DATABASE %I TO ` + readerRole + `', current_database())
UNION ALL SELECT format('GRANT SELECT ON public.%I TO ` + readerRole + `', c.relname) FROM pg_class c
WHERE c.relkind = 'v' AND c.relnamespace = 'public'::regnamespace
  AND NOT EXISTS (SELECT FROM pg_depend p WHERE p.objid = c.oid AND p.deptype = 'e')`

	analystStatementsSQL = `
SELECT format('CREATE ROLE %I LOGIN', $1::text) WHERE NOT EXISTS (SELECT FROM pg_roles WHERE rolname = $1::text)
UNION ALL SELECT format('ALTER ROLE %I LOGIN PASSWORD %L CONNECTION LIMIT 5', $1::text, $2::text)
UNION ALL SELECT format('GRANT ` + readerRole + ` TO %I', $1::text)
UNION ALL SELECT format('ALTER ROLE %I SET default_transaction_read_only = on', $1::text)
UNION ALL SELECT format('ALTER ROLE %I SET statement_timeout = %L', $1::text, '5min')`

	otherRoleSQL = `
SELECT EXISTS (SELECT FROM pg_roles r WHERE r.rolname = $1 AND NOT EXISTS (
    SELECT FROM pg_auth_members m JOIN pg_roles g ON g.oid = m.roleid WHERE m.member = r.oid AND g.rolname = '` + readerRole + `'))`
)

var analystName = regexp.MustCompile(`^[a-z][a-z0-9_]{0,40}$`)

// AddAnalyst makes a login of the database server for an analyst's own tools,
// or renews its password: it reads the views and nothing else. Running it
// again after a migration also grants the new views. Invalid for a name that is
// taken by another role or a password under 12 characters.
func (d *DB) AddAnalyst(ctx context.Context, name, password string, by scheduler.Stamp) error {
	if !analystName.MatchString(name) {
		return scheduler.Errorf(scheduler.Invalid, "analyst %q: a name of small letters, digits and _ is needed", name)
	}
	if len(password) < 12 {
		return scheduler.Errorf(scheduler.Invalid, "analyst %s: the password needs at least 12 characters", name)
	}
	return d.tx(ctx, func(tx pgx.Tx) error {
		var other bool
		if err := tx.QueryRow(ctx, otherRoleSQL, name).Scan(&other); err != nil {
			return failed("look for role "+name, err)
		}
		if other {
			return scheduler.Errorf(scheduler.Clash, "analyst %s: the database server has another role of that name", name)
		}
		if err := execAll(ctx, tx, readerStatementsSQL); err != nil {
			return failed("grant views", err)
		}
		if err := execAll(ctx, tx, analystStatementsSQL, name, password); err != nil {
			return failed("make login "+name, err)
		}
		return audit(ctx, tx, by, "add", "analyst", name, nil)
	})
}

// execAll runs the statements that a query answers, in their order.
func execAll(ctx context.Context, tx pgx.Tx, query string, args ...any) error {
	rows, err := tx.Query(ctx, query, args...)
	if err != nil {
		return err
	}
	statements, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return err
	}
	for _, s := range statements {
		if _, err := tx.Exec(ctx, s); err != nil {
			return err
		}
	}
	return nil
}
