package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// dueReads are the columns that a due pass reads, joined as it joins them.
const dueReads = `
SELECT f.*, v.id, v.kind, v.digest, v.origin, p.id IS NOT NULL
FROM tree_fact f
LEFT JOIN visit v ON v.tree_id = f.id AND v.progress = 'open'
LEFT JOIN stop p ON p.visit_id = v.id AND p.live`

// copiedOut is the cost of a COPY of a query's rows to this process, which
// throws them away.
func (h *house) copiedOut(ctx context.Context, query string) (cost, error) {
	r, err := h.psql(ctx, `\copy (`+oneLine(query)+`) TO '/dev/null' (FORMAT binary)`)
	return r.cost, err
}

// copied is the cost of a bare COPY of all rows of some tables into twins with
// the same columns, checks, foreign keys and indexes, each in a transaction of its own.
func (h *house) copied(ctx context.Context, tables ...string) (cost, error) {
	var sum cost
	for _, t := range tables {
		file := filepath.Join(h.data, t+".copy")
		columns, err := h.columns(ctx, t)
		if err != nil {
			return sum, err
		}
		if _, err := h.psql(ctx, fmt.Sprintf(`\copy %s (%s) TO '%s' (FORMAT binary)`, t, columns, file)); err != nil {
			return sum, err
		}
		if err := h.twin(ctx, t); err != nil {
			return sum, err
		}
		r, err := h.psql(ctx, fmt.Sprintf(`\copy twin_%s (%s) FROM '%s' (FORMAT binary)`, t, columns, file))
		if err != nil {
			return sum, err
		}
		sum.seconds += r.seconds
		sum.peak, sum.server = max(sum.peak, r.peak), max(sum.server, r.server)
		if _, err := h.psql(ctx, "DROP TABLE twin_"+t); err != nil {
			return sum, err
		}
		if err := os.Remove(file); err != nil {
			return sum, err
		}
	}
	return sum, nil
}

// columns lists the columns of a table that are not generated from others.
func (h *house) columns(ctx context.Context, table string) (string, error) {
	r, err := h.psql(ctx, fmt.Sprintf(`
SELECT string_agg(quote_ident(attname), ', ' ORDER BY attnum) FROM pg_attribute
WHERE attrelid = '%s'::regclass AND attnum > 0 AND NOT attisdropped AND attgenerated = ''`, table))
	return strings.TrimSpace(string(r.out)), err
}

// twin makes an empty table with everything that the given one checks.
func (h *house) twin(ctx context.Context, table string) error {
	if _, err := h.psql(ctx, fmt.Sprintf("DROP TABLE IF EXISTS twin_%s", table),
		fmt.Sprintf("CREATE TABLE twin_%s (LIKE %s INCLUDING ALL)", table, table)); err != nil {
		return err
	}
	r, err := h.psql(ctx, fmt.Sprintf(`
SELECT format('ALTER TABLE twin_%s ADD %%s', pg_get_constraintdef(oid)) FROM pg_constraint
WHERE conrelid = '%s'::regclass AND contype = 'f'`, table, table))
	if err != nil {
		return err
	}
	for line := range strings.Lines(string(r.out)) {
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		if _, err := h.psql(ctx, line); err != nil {
			return err
		}
	}
	return nil
}

// oneLine joins a statement's lines: psql's own commands end at a line's end.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
