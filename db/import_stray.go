package db

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// A wrong datum, an offset or swapped coordinates put rows where no city is.
// With districts a tree must lie in one of them; everything else must lie within
// strayMetres of what the city has already, or, in an empty database, of the
// middle of its own file.
const strayMetres = 150_000

const (
	districtsThereSQL = `SELECT EXISTS (SELECT 1 FROM district)`

	cityExtentSQL = `
SELECT ST_XMin(e), ST_YMin(e), ST_XMax(e), ST_YMax(e)
FROM (SELECT ST_Extent(geom) AS e FROM (
    SELECT geom FROM district UNION ALL SELECT geom FROM section UNION ALL SELECT geom FROM street UNION ALL
    SELECT geom FROM walk UNION ALL SELECT geom FROM wire UNION ALL SELECT geom FROM sign UNION ALL
    SELECT geom FROM depot UNION ALL SELECT geom FROM dump UNION ALL SELECT geom FROM site) g) x
WHERE e IS NOT NULL`

	fileMiddleSQL = `
SELECT x, y, x, y FROM (
    SELECT percentile_disc(0.5) WITHIN GROUP (ORDER BY ST_XMin(metric)) AS x,
           percentile_disc(0.5) WITHIN GROUP (ORDER BY ST_YMin(metric)) AS y
    FROM stage_key WHERE batch_id = $1 AND metric IS NOT NULL) m
WHERE x IS NOT NULL`

	faultOutsideSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT k.batch_id, k.line, 'position', coalesce(left(ST_AsText(k.raw, 6), 120), ''),
       CASE WHEN k.raw IS NULL THEN 'every row of this layer has a position'
            WHEN k.metric IS NULL THEN format('the position has no place in the city''s coordinate system EPSG:%s', $2::integer)
            ELSE 'a tree stands inside a district; this one lies in water or outside the city' END ||
       CASE WHEN EXISTS (SELECT 1 FROM district d WHERE ST_Intersects(d.geom, city_geom(ST_FlipCoordinates(k.raw), $2::integer)))
            THEN '; latitude and longitude look swapped' ELSE '' END
FROM stage_key k
WHERE k.batch_id = $1 AND (k.metric IS NULL
    OR NOT EXISTS (SELECT 1 FROM district d WHERE ST_Intersects(d.geom, k.metric)))`

	faultFarSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT k.batch_id, k.line, 'position', coalesce(left(ST_AsText(k.raw, 6), 120), ''),
       CASE WHEN k.raw IS NULL THEN 'every row of this layer has a position'
            WHEN k.metric IS NULL THEN format('the position has no place in the city''s coordinate system EPSG:%s', $2::integer)
            ELSE 'a position lies within 150 km of the rest of the city' END ||
       CASE WHEN ST_Intersects(b.box, city_geom(ST_FlipCoordinates(k.raw), $2::integer))
            THEN '; latitude and longitude look swapped' ELSE '' END
FROM stage_key k,
     (SELECT ST_MakeEnvelope($3::float8, $4::float8, $5::float8, $6::float8, $2::integer) AS box) b
WHERE k.batch_id = $1 AND (k.metric IS NULL OR NOT ST_IsEmpty(k.metric) AND NOT k.metric && b.box)`
)

// findStray records a fault for every row without a usable position.
func findStray(ctx context.Context, tx pgx.Tx, in checkInput, layer string) error {
	if layer == "trees" {
		var there bool
		if err := tx.QueryRow(ctx, districtsThereSQL).Scan(&there); err != nil {
			return err
		}
		if there {
			_, err := tx.Exec(ctx, faultOutsideSQL, in.batch, in.srid)
			return err
		}
	}
	var x0, y0, x1, y1 float64
	err := tx.QueryRow(ctx, cityExtentSQL).Scan(&x0, &y0, &x1, &y1)
	if isNoRows(err) {
		err = tx.QueryRow(ctx, fileMiddleSQL, in.batch).Scan(&x0, &y0, &x1, &y1)
	}
	if err != nil && !isNoRows(err) {
		return err
	}
	_, err = tx.Exec(ctx, faultFarSQL, in.batch, in.srid, x0-strayMetres, y0-strayMetres, x1+strayMetres, y1+strayMetres)
	return err
}
