package db

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// Held visits come too: the plan carries them over with their reason. What is
// not ours is no work of ours. What crews read of a visit is most of its bytes, and stays behind.
const planInputSQL = `
SELECT v.id, v.tree_id, v.site_id, v.kind, v.kinds, v.earliest, v.due, v.latest, v.season, v.state, v.progress, v.closed_until,
    v.hold, v.hold_until, v.class, v.score, v.skill, v.minutes, v.chips_l, v.dose_pct, '{}'::jsonb, v.origin, v.policy_id, v.as_of,
    v.digest, v.revision, f.species, f.face_id, f.section, f.street_class
FROM visit_fact v JOIN tree_fact f ON f.id = v.tree_id
WHERE v.progress = 'open' AND v.state <> 'not_ours' AND (v.due IS NULL OR v.due <= $1)
ORDER BY v.class, v.id`

// PlanInput returns the open visits that are due by the end of the year, most
// urgent class first, with what places them; without objectives, limits, cautions and reasons.
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
