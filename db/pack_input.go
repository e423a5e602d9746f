package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// A visit comes when the plan gave it a week up to the last day's and it is still
// open; when it is of class 0 or 1, whatever the plan says; or when it is of class 2 and the plan
// has not judged it, because it was found after the plan was made or there is none. A class 2 visit
// that the plan carried over waits for its turn: a city may have thousands. Held visits and those in
// a live packet stay out, but with $3 those in a draft that will be replaced come back.
const packInputSQL = `
SELECT v.*, f.*, l.week, coalesce(sp.traits ->> 'sanitation', '')
FROM visit_fact v
JOIN tree_fact f ON f.id = v.tree_id
LEFT JOIN species sp ON sp.code = f.species
LEFT JOIN plan_line l ON l.visit_id = v.id AND l.plan_id = $1 AND l.week IS NOT NULL
WHERE v.progress = 'open' AND v.state NOT IN ('held', 'not_ours')
  AND (l.week <= $4 OR (v.earliest IS NULL OR v.earliest <= $4)
       AND (v.class <= 1 OR v.class = 2 AND NOT EXISTS (SELECT FROM plan_line n WHERE n.plan_id = $1 AND n.visit_id = v.id)))
  AND NOT EXISTS (
      SELECT FROM stop s JOIN packet p ON p.id = s.packet_id
      WHERE s.visit_id = v.id AND s.live
        AND NOT ($3 AND p.state = 'draft' AND p.day BETWEEN $2 AND $4
                 AND NOT EXISTS (SELECT FROM stop k WHERE k.packet_id = p.id AND (k.locked OR k.state <> 'planned'))))
ORDER BY v.class, l.week NULLS FIRST, v.latest NULLS LAST, v.score DESC, v.id`

const packBusySQL = `
SELECT p.crew_id, p.day FROM packet p
WHERE p.state IN ('draft', 'issued', 'started', 'weather_hold') AND p.day BETWEEN $1 AND $2
  AND NOT ($3 AND p.state = 'draft'
           AND NOT EXISTS (SELECT FROM stop k WHERE k.packet_id = p.id AND (k.locked OR k.state <> 'planned')))
ORDER BY p.day, p.crew_id`

// PackInput returns the visits that packets for the days from..to may take
// under the given plan (0 for urgent work alone) and the crew-days that are
// taken. With replace set, drafts of those days that have no locked stop count as gone.
func (d *DB) PackInput(ctx context.Context, plan int64, from, to scheduler.Date, replace bool) (scheduler.PackInput, error) {
	var in scheduler.PackInput
	rows, err := d.pool.Query(ctx, packInputSQL, plan, from, replace, to)
	if err != nil {
		return in, failed("read visits to pack", err)
	}
	in.Items, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (scheduler.PackItem, error) {
		var it scheduler.PackItem
		var v visitFact
		var f treeFact
		targets := append(v.fields(), f.fields()...)
		err := row.Scan(append(targets, &it.Week, &it.Sanitation)...)
		if err != nil {
			return it, err
		}
		it.Site, it.Along, it.Species = f.both().Site, f.along, f.tree.Species
		it.Visit, err = v.whole()
		return it, err
	})
	if err != nil {
		return in, failed("read visits to pack", err)
	}
	if rows, err = d.pool.Query(ctx, packBusySQL, from, to, replace); err != nil {
		return in, failed("read busy crew-days", err)
	}
	in.Busy, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (c scheduler.CrewDay, err error) {
		err = row.Scan(&c.CrewID, &c.Day)
		return c, err
	})
	return in, failed("read busy crew-days", err)
}
