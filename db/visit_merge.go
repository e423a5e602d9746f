package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// The due pass and the work record write visits by the same road: differences
// are staged, then merged set by set. A tree whose edit counter moved since it
// was read is skipped: whoever moved it made its visits from newer facts. Its
// row is locked in share, so that no record slips in between the look and the write.
const (
	stagePassSQL     = `SELECT nextval('stage_visit_pass')`
	stageLockSQL     = `SELECT count(*) FROM (SELECT t.id FROM tree t WHERE t.id IN (SELECT s.tree_id FROM stage_visit s WHERE s.pass = $1) ORDER BY t.id FOR SHARE) locked`
	stageDropSQL     = `DELETE FROM stage_visit s USING tree t WHERE s.pass = $1 AND t.id = s.tree_id AND t.revision <> s.tree_revision`
	stageEndSQL      = `DELETE FROM stage_visit WHERE pass = $1`
	mergeWithdrawSQL = `
UPDATE visit v SET progress = 'withdrawn', as_of = s.as_of, revision = v.revision + 1
FROM stage_visit s
WHERE s.pass = $1 AND s.op = 'withdrawn' AND v.id = s.visit_id AND v.progress = 'open'
  AND NOT EXISTS (SELECT FROM stop p WHERE p.visit_id = v.id AND p.live)`
	mergeChangeSQL = `
UPDATE visit v SET kinds = s.kinds, earliest = s.earliest, due = s.due, latest = s.latest, season = s.season, state = s.state,
    closed_until = s.closed_until, hold = s.hold, hold_until = s.hold_until, class = s.class, score = s.score, skill = s.skill,
    minutes = s.minutes, chips_l = s.chips_l, dose_pct = s.dose_pct, detail = s.detail, origin = s.origin,
    policy_id = s.policy_id, as_of = s.as_of, digest = s.digest, revision = v.revision + 1
FROM stage_visit s
WHERE s.pass = $1 AND s.op = 'changed' AND v.id = s.visit_id AND v.progress = 'open'`
	mergeNewSQL = `
INSERT INTO visit (tree_id, site_id, kind, kinds, earliest, due, latest, season, state, closed_until, hold, hold_until, class,
    score, skill, minutes, chips_l, dose_pct, detail, origin, policy_id, as_of, digest)
SELECT s.tree_id, s.site_id, s.kind, s.kinds, s.earliest, s.due, s.latest, s.season, s.state, s.closed_until, s.hold,
    s.hold_until, s.class, s.score, s.skill, s.minutes, s.chips_l, s.dose_pct, s.detail, s.origin, s.policy_id, s.as_of, s.digest
FROM stage_visit s WHERE s.pass = $1 AND s.op = 'new' ORDER BY s.tree_id, s.kind
ON CONFLICT (tree_id, kind) WHERE progress = 'open' DO NOTHING`
)

// stageColumns are the columns of stage_visit in the order of stageRow.
var stageColumns = []string{
	"pass", "tree_id", "tree_revision", "op", "visit_id", "site_id", "kind", "kinds", "earliest", "due", "latest", "season", "state",
	"closed_until", "hold", "hold_until", "class", "score", "skill", "minutes", "chips_l", "dose_pct", "detail", "origin",
	"policy_id", "as_of", "digest",
}

func stageRow(pass, tree int64, revision int, asOf scheduler.Date, c *scheduler.VisitChange) ([]any, error) {
	row := make([]any, 5, len(stageColumns))
	row[0], row[1], row[2], row[3] = pass, tree, revision, string(c.Op)
	if c.ID != 0 {
		row[4] = c.ID
	}
	if c.Visit == nil {
		row = row[:len(stageColumns)]
		row[len(row)-2] = asOf
		return row, nil
	}
	return appendVisit(row, asOf, c)
}

// appendVisit appends the values of a visit in the order of stageColumns, from site_id on.
func appendVisit(row []any, asOf scheduler.Date, c *scheduler.VisitChange) ([]any, error) {
	v := c.Visit
	detail, err := detailOf(v)
	if err != nil {
		return nil, err
	}
	kinds := make([]string, len(v.Kinds))
	for i, k := range v.Kinds {
		kinds[i] = string(k)
	}
	return append(
		row,
		v.SiteID, string(v.Kind), kinds, v.Window.Earliest, v.Window.Due, v.Window.Latest, v.Season, string(v.State), v.ClosedTo,
		v.Hold, v.HoldUntil, v.Class, v.Score, string(v.Skill), v.Minutes, v.ChipsL, v.Dose, detail, string(v.Origin),
		orNull(v.PolicyID), asOf, c.Digest,
	), nil
}

// orNull stores an id, or NULL for none.
func orNull(id int64) any {
	if id == 0 {
		return nil
	}
	return id
}

// copyStage loads staged rows.
func copyStage(ctx context.Context, tx pgx.Tx, rows [][]any) error {
	_, err := tx.CopyFrom(ctx, pgx.Identifier{"stage_visit"}, stageColumns, pgx.CopyFromRows(rows))
	return failed("stage visits", err)
}

// mergeStage moves the staged differences of one pass into the visits and
// empties the stage. It answers how many rows it wrote and how many it left
// because their tree had moved on.
func mergeStage(ctx context.Context, tx pgx.Tx, pass int64) (scheduler.DueWritten, error) {
	var w scheduler.DueWritten
	for _, step := range []struct {
		sql  string
		rows *int
		what string
	}{
		{stageLockSQL, nil, "lock trees"},
		{stageDropSQL, &w.Skipped, "leave trees that moved on"},
		{mergeWithdrawSQL, &w.Withdrawn, "withdraw visits"},
		{mergeChangeSQL, &w.Changed, "change visits"},
		{mergeNewSQL, &w.New, "add visits"},
		{stageEndSQL, nil, "empty stage"},
	} {
		tag, err := tx.Exec(ctx, step.sql, pass)
		if err != nil {
			return w, failed(step.what, err)
		}
		if step.rows != nil {
			*step.rows = int(tag.RowsAffected())
		}
	}
	return w, nil
}
