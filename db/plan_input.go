package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// Held visits come too: the plan carries them over with their reason. What is
// not ours is no work of ours.
const planInputSQL = `
SELECT v.*, f.species, f.face_id, f.section, f.street_class
FROM visit_fact v JOIN tree_fact f ON f.id = v.tree_id
WHERE v.progress = 'open' AND v.state <> 'not_ours' AND (v.due IS NULL OR v.due <= $1)
ORDER BY v.class, v.id`

// PlanInput returns the open visits that are due by the end of the year, most
// urgent class first, with what places them.
func (d *DB) PlanInput(ctx context.Context, year int) ([]scheduler.PlanItem, error) {
	rows, err := d.pool.Query(ctx, planInputSQL, scheduler.NewDate(year, time.December, 31))
	if err != nil {
		return nil, failed("read visits to plan", err)
	}
	items, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (scheduler.PlanItem, error) {
		var it scheduler.PlanItem
		var f visitFact
		err := row.Scan(append(f.fields(), &it.Species, &it.FaceID, &it.Section, &it.Class)...)
		if err != nil {
			return it, err
		}
		it.Visit, err = f.whole()
		return it, err
	})
	return items, failed("read visits to plan", err)
}
