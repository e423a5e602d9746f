package db

import (
	"context"
	"slices"
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
    chips_l, dose_pct, detail, origin, policy_id, as_of, digest, progress)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22)
RETURNING id`
	visitRewriteSQL = `
UPDATE visit SET kinds = $2, earliest = $3, due = $4, latest = $5, season = $6, state = $7, hold = $8, hold_until = NULL,
    closed_until = NULL, class = $9, score = $10, skill = $11, minutes = $12, chips_l = $13, dose_pct = $14, detail = $15, origin = $16,
    policy_id = $17, as_of = $18, digest = $19, revision = revision + 1
WHERE id = $1 AND (digest <> $19 OR origin <> $16)`
	hazardInsertSQL = `
INSERT INTO hazard (tree_id, record_id, what, class, seen_by, seen_at, called_to, act_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`
	hazardVisitSQL = `
UPDATE hazard SET visit_id = $2 WHERE record_id = ANY ($1) AND visit_id IS DISTINCT FROM $2`
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

// openVisits writes the visits that the tree's records call for, and the danger
// that this one tells of. Several of one kind are one visit; what is done already is on file as completed.
func (w *recordWrite) openVisits(ctx context.Context) error {
	if h := w.out.Seen; h != nil {
		_, err := w.tx.Exec(ctx, hazardInsertSQL, w.in.Tree.ID, w.in.Record.ID, h.What, h.Class, w.in.Record.By, h.At, h.CalledTo, h.ActBy)
		if err != nil {
			return failed("keep hazard", err)
		}
	}
	for i := range w.out.Opens {
		o := &w.out.Opens[i]
		id, err := w.openVisit(ctx, o)
		if err != nil {
			return err
		}
		if o.Visit.Kind == scheduler.MakeSafe {
			if _, err := w.tx.Exec(ctx, hazardVisitSQL, o.Records, id); err != nil {
				return failed("name hazard's visit", err)
			}
		}
	}
	return nil
}

func (w *recordWrite) openVisit(ctx context.Context, o *scheduler.OpenedVisit) (int64, error) {
	v := &o.Visit
	detail, err := detailOf(v)
	if err != nil {
		return 0, err
	}
	var buf []byte
	digest := v.Digest(&buf)
	if before := openOfKind(w.in.Open, v.Kind, w.out.Closes); before != nil && !o.Done {
		_, err := w.tx.Exec(ctx, visitRewriteSQL, before.ID, v.Kinds, v.Window.Earliest, v.Window.Due, v.Window.Latest, v.Season, v.State,
			v.Hold, v.Class, v.Score, v.Skill, v.Minutes, v.ChipsL, v.Dose, detail, v.Origin, orNull(v.PolicyID), w.in.Today, digest)
		return before.ID, failed("rewrite visit", err)
	}
	progress := scheduler.Open
	if o.Done {
		progress = scheduler.Completed
	}
	var id int64
	err = w.tx.QueryRow(ctx, visitInsertSQL, v.TreeID, v.SiteID, v.Kind, v.Kinds, v.Window.Earliest, v.Window.Due, v.Window.Latest,
		v.Season, v.State, v.Hold, v.Class, v.Score, v.Skill, v.Minutes, v.ChipsL, v.Dose, detail, v.Origin, orNull(v.PolicyID),
		w.in.Today, digest, progress).Scan(&id)
	return id, failed("open visit of kind "+string(v.Kind)+" on tree "+strconv.FormatInt(v.TreeID, 10), err)
}

// openOfKind finds the open visit of a kind that the record does not complete.
func openOfKind(open []scheduler.Visit, k scheduler.WorkKind, closes []int64) *scheduler.Visit {
	for i := range open {
		if v := &open[i]; v.Kind == k && !slices.Contains(closes, v.ID) {
			return v
		}
	}
	return nil
}
