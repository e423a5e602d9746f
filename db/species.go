package db

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	listSpeciesSQL = `SELECT code, scientific, common, traits FROM species ORDER BY code`
	oneSpeciesSQL  = `SELECT code, scientific, common, traits FROM species WHERE code = $1`
	setSpeciesSQL  = `
INSERT INTO species (code, scientific, common, traits, local) VALUES ($1, $2, $3, $4, true)
ON CONFLICT (code) DO UPDATE SET scientific = excluded.scientific, common = excluded.common, traits = excluded.traits, local = true`
)

// Species lists all species by code.
func (d *DB) Species(ctx context.Context) ([]scheduler.Species, error) {
	rows, err := d.pool.Query(ctx, listSpeciesSQL)
	if err != nil {
		return nil, failed("list species", err)
	}
	list, err := pgx.CollectRows(rows, func(r pgx.CollectableRow) (scheduler.Species, error) { return d.readSpecies(r) })
	return list, failed("list species", err)
}

// SpeciesByCode is one species, or NotFound.
func (d *DB) SpeciesByCode(ctx context.Context, code string) (scheduler.Species, error) {
	s, err := d.readSpecies(d.pool.QueryRow(ctx, oneSpeciesSQL, code))
	return s, failed("read species "+code, err)
}

// SetSpecies adds a species or replaces its traits by the city's own; a
// program update then leaves it alone. Clash when another code has its
// scientific name.
func (d *DB) SetSpecies(ctx context.Context, s scheduler.Species, by scheduler.Stamp) error {
	if s.Code == "" || s.Scientific == "" {
		return scheduler.Errorf(scheduler.Invalid, "species: code and scientific name are required")
	}
	return d.tx(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, setSpeciesSQL, s.Code, s.Scientific, s.Common, s); err != nil {
			return failed("write species "+s.Code, err)
		}
		return audit(ctx, tx, by, "set", "species", s.Code, s)
	})
}

// readSpecies decodes a text of traits once: every work record reads the table.
func (d *DB) readSpecies(row pgx.Row) (s scheduler.Species, err error) {
	var code, scientific, common, traits string
	if err := row.Scan(&code, &scientific, &common, &traits); err != nil {
		return s, err
	}
	if known, ok := d.traits.Load(traits); ok {
		s = known.(scheduler.Species)
	} else {
		if err := json.Unmarshal([]byte(traits), &s); err != nil {
			return s, fmt.Errorf("decode traits of %s: %w", code, err)
		}
		d.traits.Store(traits, s)
	}
	s.Code, s.Scientific, s.Common = code, scientific, common
	return s, nil
}
