package db

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const addAuditSQL = `INSERT INTO audit (at, actor, verb, noun, key, detail) VALUES ($1, $2, $3, $4, $5, $6)`

// audit appends a line inside the write's own transaction, so that no write
// stands without its line. detail is any value that encodes as a JSON object;
// nil is an empty one. A stamp without actor or time is Invalid.
func audit(ctx context.Context, tx pgx.Tx, by scheduler.Stamp, verb, noun, key string, detail any) error {
	if by.Actor == "" || by.At.IsZero() {
		return scheduler.Errorf(scheduler.Invalid, "%s %s: a write must say who does it and when", verb, noun)
	}
	text := []byte("{}")
	if detail != nil {
		var err error
		if text, err = json.Marshal(detail); err != nil {
			return fmt.Errorf("encode audit detail: %w", err)
		}
	}
	_, err := tx.Exec(ctx, addAuditSQL, by.At, by.Actor, verb, noun, key, text)
	return failed("write audit", err)
}

const listAuditSQL = `
SELECT id, at, actor, verb, noun, key, detail FROM audit
WHERE ($1 = '' OR noun = $1) AND ($2 = '' OR key = $2) AND ($3::bigint = 0 OR id < $3)
ORDER BY id DESC LIMIT $4`

// Audit lists at most limit lines, newest first, of one noun and key; either
// may be empty for any. Pass the last line's id as before to read on, 0 to begin.
func (d *DB) Audit(ctx context.Context, noun, key string, before int64, limit int) ([]scheduler.AuditEntry, error) {
	rows, err := d.pool.Query(ctx, listAuditSQL, noun, key, before, limit)
	if err != nil {
		return nil, failed("read audit", err)
	}
	list, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (e scheduler.AuditEntry, err error) {
		err = r.Scan(&e.ID, &e.At, &e.Actor, &e.Verb, &e.Noun, &e.Key, &e.Detail)
		return e, err
	})
	return list, failed("read audit", err)
}
