package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// seed fills what a fresh database needs to compute dates: the built-in
// species, and a first policy when nobody has adopted one.
func (d *DB) seed(ctx context.Context, by scheduler.Stamp) error {
	list, err := scheduler.SpeciesTable()
	if err != nil {
		return fmt.Errorf("read built-in species: %w", err)
	}
	if err := d.seedSpecies(ctx, list, by); err != nil {
		return err
	}
	return d.seedPolicy(ctx, by)
}

// seedSpecies brings the built-in species up to date. Lines that the city
// changed, or whose scientific name it has under a code of its own, stay.
func (d *DB) seedSpecies(ctx context.Context, list []scheduler.Species, by scheduler.Stamp) error {
	return d.tx(ctx, func(tx pgx.Tx) error {
		changed := 0
		for _, s := range list {
			tag, err := tx.Exec(ctx, seedSpeciesSQL, s.Code, s.Scientific, s.Common, s)
			if err != nil {
				return failed("write species "+s.Code, err)
			}
			changed += int(tag.RowsAffected())
		}
		if changed == 0 {
			return nil
		}
		return audit(ctx, tx, by, "seed", "species", "built-in", map[string]int{"changed": changed})
	})
}

const seedSpeciesSQL = `
INSERT INTO species AS s (code, scientific, common, traits)
SELECT $1::text, $2::text, $3::text, $4::jsonb
WHERE NOT EXISTS (SELECT FROM species o WHERE lower(o.scientific) = lower($2::text) AND o.code <> $1::text)
ON CONFLICT (code) DO UPDATE SET scientific = excluded.scientific, common = excluded.common, traits = excluded.traits
WHERE NOT s.local AND (s.scientific, s.common, s.traits) IS DISTINCT FROM (excluded.scientific, excluded.common, excluded.traits)`

// firstPreset is the policy of a database in which nobody has adopted one: a
// cold climate with closed seasons, so that a city that forgets to choose errs
// towards not cutting.
const firstPreset = "lower-midwest"

func (d *DB) seedPolicy(ctx context.Context, by scheduler.Stamp) error {
	list, err := d.ListPolicies(ctx)
	if err != nil || len(list) > 0 {
		return err
	}
	source, err := scheduler.Preset(firstPreset)
	if err != nil {
		return err
	}
	p, err := scheduler.ParsePolicy(source)
	if err != nil {
		return fmt.Errorf("read built-in policy: %w", err)
	}
	_, err = d.AddPolicy(ctx, source, p, by)
	return err
}
