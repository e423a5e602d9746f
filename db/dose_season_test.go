package db_test

import (
	"testing"

	"limbround/db/dbtest"
	"limbround/scheduler"
)

// The database and the program agree on the growing season that a cut draws on,
// every day of two years: in Indiana, in Florida and in Melbourne, where it crosses New Year.
func TestDoseSeason(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	conn := connect(t, d)
	for _, name := range []string{"lower-midwest", "central-florida", "victoria"} {
		text, err := scheduler.Preset(name)
		if err != nil {
			t.Fatal(err)
		}
		p, err := scheduler.ParsePolicy(text)
		if err != nil {
			t.Fatal(err)
		}
		leaf := p.Seasons.LeafOn
		rows, err := conn.Query(ctx, `SELECT d::date, dose_season(d::date, $1, $2) FROM generate_series('2026-01-01'::date, '2027-12-31', '1 day') d`,
			leaf.From.Number(), leaf.To.Number())
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for rows.Next() {
			var on scheduler.Date
			var got int
			if err := rows.Scan(&on, &got); err != nil {
				t.Fatal(err)
			}
			if n++; got != leaf.DoseSeason(on) {
				t.Errorf("%s, %s: the database says %d, the program %d", name, on, got, leaf.DoseSeason(on))
			}
		}
		if err := rows.Err(); err != nil || n != 730 {
			t.Fatalf("%s: %d days, %v", name, n, err)
		}
	}
}
