package db

import (
	"context"
	"strconv"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	visitOpenSQL = `
SELECT v.id, v.kind, v.digest, v.origin, EXISTS (SELECT FROM stop p WHERE p.visit_id = v.id AND p.live)
FROM visit v WHERE v.tree_id = $1 AND v.progress = 'open' ORDER BY v.id`
	visitInsertSQL = `
INSERT INTO visit (tree_id, site_id, kind, kinds, earliest, due, latest, season, state, hold, class, score, skill, minutes,
    chips_l, dose_pct, detail, origin, policy_id, as_of, digest)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21)
RETURNING id`
	visitUrgentSQL = `
UPDATE visit SET earliest = least(earliest, $2), due = least(due, $3), latest = least(latest, $4), state = 'due', hold = '',
    hold_until = NULL, closed_until = NULL, class = least(class, $5), skill = greatest(skill, $6), minutes = greatest(minutes, $7),
    detail = $8, origin = $9, as_of = $10, digest = $11, revision = revision + 1
WHERE id = $1`
	hazardInsertSQL = `
INSERT INTO hazard (tree_id, record_id, visit_id, what, class, seen_by, seen_at, called_to, act_by)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`
)

func openVisits(ctx context.Context, q querier, tree int64) ([]scheduler.OpenVisit, error) {
	rows, err := q.Query(ctx, visitOpenSQL, tree)
	if err != nil {
		return nil, failed("read open visits", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (o scheduler.OpenVisit, err error) {
		err = row.Scan(&o.ID, &o.Kind, &o.Digest, &o.Origin, &o.Live)
		return o, err
	})
	return list, failed("read open visits", err)
}

// openVisits adds the visits that the record itself opens. One of the same
// kind that is open already becomes at least as urgent; what it said before stays in its detail.
func (w *recordWrite) openVisits(ctx context.Context) error {
	for i := range w.out.Opens {
		o := &w.out.Opens[i]
		id, err := w.openVisit(ctx, &o.Visit)
		if err != nil {
			return err
		}
		if h := o.Hazard; h != nil {
			_, err := w.tx.Exec(ctx, hazardInsertSQL, w.in.Tree.ID, w.in.Record.ID, id, h.What, h.Class, w.in.Record.By, h.At,
				h.CalledTo, o.ActBy)
			if err != nil {
				return failed("keep hazard", err)
			}
		}
	}
	return nil
}

func (w *recordWrite) openVisit(ctx context.Context, v *scheduler.Visit) (int64, error) {
	before := openOfKind(w.in.Open, v.Kind, w.out.Closes)
	if before != nil {
		v.Objectives = append(v.Objectives, before.Objectives...)
		v.Limits = append(v.Limits, before.Limits...)
		v.Cautions = append(v.Cautions, before.Cautions...)
		v.Reasons = append(v.Reasons, before.Reasons...)
	}
	detail, err := detailOf(v)
	if err != nil {
		return 0, err
	}
	var buf []byte
	digest := v.Digest(&buf)
	if before != nil {
		_, err := w.tx.Exec(ctx, visitUrgentSQL, before.ID, v.Window.Earliest, v.Window.Due, v.Window.Latest, v.Class, v.Skill,
			v.Minutes, detail, v.Origin, w.in.Today, digest)
		return before.ID, failed("make visit more urgent", err)
	}
	var id int64
	err = w.tx.QueryRow(ctx, visitInsertSQL, v.TreeID, v.SiteID, v.Kind, v.Kinds, v.Window.Earliest, v.Window.Due, v.Window.Latest,
		v.Season, v.State, v.Hold, v.Class, v.Score, v.Skill, v.Minutes, v.ChipsL, v.Dose, detail, v.Origin, orNull(v.PolicyID),
		w.in.Today, digest).Scan(&id)
	return id, failed("open visit of kind "+string(v.Kind)+" on tree "+strconv.FormatInt(v.TreeID, 10), err)
}

// openOfKind finds the open visit of a kind that the record does not complete.
func openOfKind(open []scheduler.Visit, k scheduler.WorkKind, closes []int64) *scheduler.Visit {
	for i := range open {
		v := &open[i]
		closed := false
		for _, id := range closes {
			closed = closed || id == v.ID
		}
		if v.Kind == k && !closed {
			return v
		}
	}
	return nil
}
