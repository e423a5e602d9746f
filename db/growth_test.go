package db_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

// Only living trees of one stem with a planting date and a later dbh are read.
func TestMeasuredTrees(t *testing.T) {
	w := newTown(t)
	ctx := t.Context()
	const fillSQL = `
WITH s AS (
    INSERT INTO site (ref, source_srid, source_x, source_y, geom)
    SELECT 'M' || i, 32616, 0, 0, ST_SetSRID(ST_MakePoint(482000 + i, 4438000), 32616) FROM generate_series(1, 7) i
    RETURNING id, ref)
INSERT INTO tree (ref, site_id, species, state, planted, planted_precision, measured_on, dbh_mm, stems)
SELECT s.ref, s.id, 'ACRU', v.state::tree_state, v.planted::date, v.exact::date_precision, v.measured::date, v.dbh, v.stems
FROM s JOIN (VALUES
    ('M1', 'alive', '2010-04-01', 'year', '2024-04-01', 180, 1),
    ('M2', 'dead', '2010-04-01', 'year', '2024-04-01', 181, 1),
    ('M3', 'alive', NULL, 'none', '2024-04-01', 182, 1),
    ('M4', 'alive', '2010-04-01', 'day', NULL, 183, 1),
    ('M5', 'alive', '2010-04-01', 'day', '2009-04-01', 184, 1),
    ('M6', 'alive', '2010-04-01', 'day', '2024-04-01', NULL, 1),
    ('M7', 'alive', '2010-04-01', 'day', '2024-04-01', 186, 3)) v(ref, state, planted, exact, measured, dbh, stems) USING (ref)`
	if _, err := w.sql.Exec(ctx, fillSQL); err != nil {
		t.Fatal(err)
	}
	type row struct {
		Species           string
		Planted, Measured scheduler.Date
		DBH               geo.Length
	}
	var got []row
	err := w.MeasuredTrees(ctx, func(species string, planted, measured scheduler.Date, dbh geo.Length) error {
		got = append(got, row{species, planted, measured, dbh})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	want := []row{{"ACRU", scheduler.NewDate(2010, 4, 1), scheduler.NewDate(2024, 4, 1), 180}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("measured trees (-want +got):\n%s", diff)
	}
	boom := scheduler.Errorf(scheduler.Invalid, "enough")
	if err := w.MeasuredTrees(ctx, func(string, scheduler.Date, scheduler.Date, geo.Length) error { return boom }); scheduler.KindOf(err) != scheduler.Invalid {
		t.Errorf("an error of the reader comes back as %v", err)
	}
}
