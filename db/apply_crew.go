package db

import (
	"context"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	crewKeySQL = `
INSERT INTO stage_key (batch_id, line, ref, target)
SELECT s.batch_id, s.line, s.ref, t.id FROM stage_crews s LEFT JOIN crew t ON t.ref = s.ref
WHERE s.batch_id = $1`
	crewClearSQL  = `DELETE FROM stage_crews WHERE batch_id = $1`
	crewWordsSQL  = `SELECT line, skills, tickets FROM stage_crews WHERE batch_id = $1 ORDER BY line`
	crewReadSQL   = `UPDATE stage_crews SET skill_list = $3::text[]::crew_skill[], ticket_list = $4 WHERE batch_id = $1 AND line = $2`
	faultWordSQL  = `INSERT INTO stage_fault (batch_id, line, field, value, rule) VALUES ($1, $2, $3, $4, $5)`
	faultDepotSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT s.batch_id, s.line, 'depot_ref', coalesce(s.depot_ref, ''), 'a crew starts at a depot that has been imported'
FROM stage_crews s JOIN stage_key k USING (batch_id, line)
WHERE s.batch_id = $1 AND (s.depot_ref IS NOT NULL OR k.target IS NULL)
  AND NOT EXISTS (SELECT 1 FROM depot d WHERE d.ref = s.depot_ref)`
	crewVerdictSQL = `
UPDATE stage_key k SET verdict = CASE WHEN w.target IS NULL THEN 'new' WHEN w.differs THEN 'changed' ELSE 'unchanged' END
FROM want_crews w
WHERE k.batch_id = $1 AND k.verdict IS NULL AND w.batch_id = $1 AND w.line = k.line`
	crewExampleSQL = `
SELECT w.line, w.ref, to_jsonb(t), to_jsonb(w) - '{batch_id,line,ref,target,verdict,differs}'::text[], 0::float8
FROM want_crews w JOIN crew t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY w.line LIMIT 20`
	crewKeepSQL = `
INSERT INTO batch_change (batch_id, table_name, row_id, before)
SELECT w.batch_id, 'crew', t.id, to_jsonb(t) FROM want_crews w JOIN crew t ON t.id = w.target
WHERE w.batch_id = $1 AND w.verdict = 'changed' ORDER BY t.id`
	crewUpdateSQL = `
UPDATE crew t SET name = w.name, depot_id = w.depot_id, people = w.people, skills = w.skills, truck_chips_l = w.truck_chips_l,
    truck_height_mm = w.truck_height_mm, truck_weight_kg = w.truck_weight_kg,
    shift_start = w.shift_start, shift_minutes = w.shift_minutes, yard_minutes = w.yard_minutes, break_minutes = w.break_minutes,
    weekdays = w.weekdays, equipment = w.equipment, tickets = w.tickets
FROM want_crews w
WHERE w.batch_id = $1 AND w.verdict = 'changed' AND t.id = w.target`
	crewInsertSQL = `
INSERT INTO crew (ref, name, depot_id, people, skills, truck_chips_l, truck_height_mm, truck_weight_kg, shift_start, shift_minutes, yard_minutes, break_minutes,
    weekdays, equipment, tickets, batch_id)
SELECT w.ref, w.name, w.depot_id, w.people, w.skills, w.truck_chips_l, w.truck_height_mm, w.truck_weight_kg, w.shift_start, w.shift_minutes, w.yard_minutes,
    w.break_minutes, w.weekdays, w.equipment, w.tickets, w.batch_id
FROM want_crews w WHERE w.batch_id = $1 AND w.verdict = 'new' ORDER BY w.line`

	crewBlockedSQL = `
SELECT 'changed by a later import', count(DISTINCT t.id) FROM crew t
JOIN batch_change c ON c.table_name = 'crew' AND c.row_id = t.id AND c.batch_id <> $1 WHERE t.batch_id = $1
UNION ALL
SELECT 'with a packet', count(*) FROM packet p JOIN crew t ON t.id = p.crew_id WHERE t.batch_id = $1
UNION ALL
SELECT 'with a work record', count(*) FROM work_record r JOIN crew t ON t.id = r.crew_id WHERE t.batch_id = $1
UNION ALL
SELECT 'with a day off', count(*) FROM crew_day_off o JOIN crew t ON t.id = o.crew_id WHERE t.batch_id = $1`
	crewRestoreSQL = `
UPDATE crew t SET name = b.name, depot_id = b.depot_id, people = b.people, skills = b.skills, truck_chips_l = b.truck_chips_l,
    truck_height_mm = b.truck_height_mm, truck_weight_kg = b.truck_weight_kg,
    shift_start = b.shift_start, shift_minutes = b.shift_minutes, yard_minutes = b.yard_minutes, break_minutes = b.break_minutes,
    weekdays = b.weekdays, equipment = b.equipment, tickets = b.tickets
FROM batch_change c CROSS JOIN LATERAL jsonb_populate_record(NULL::crew, c.before) b
WHERE c.batch_id = $1 AND c.table_name = 'crew' AND t.id = c.row_id`
	crewRemoveSQL = `DELETE FROM crew WHERE batch_id = $1`
)

func crewImport() layerSQL {
	return layerSQL{
		key: crewKeySQL, clear: crewClearSQL, faults: []string{faultDepotSQL}, check: readCrewWords, verdict: crewVerdictSQL, examples: crewExampleSQL,
		apply: []string{crewKeepSQL, crewUpdateSQL}, insert: crewInsertSQL, needs: []string{"depots"},
		undo: undoSQL{blocked: crewBlockedSQL, restored: []string{crewRestoreSQL}, removed: []string{crewRemoveSQL}},
	}
}

// readCrewWords reads skills and tickets from their text in the file into
// their stored form, and records the words that it cannot read.
func readCrewWords(ctx context.Context, tx pgx.Tx, in checkInput) error {
	type words struct {
		Line            int
		Skills, Tickets *string
	}
	rows, err := collect[words](ctx, tx, crewWordsSQL, in.batch)
	if err != nil {
		return err
	}
	for _, w := range rows {
		var skills []string
		var tickets []scheduler.Ticket
		var faults, more []scheduler.Fault
		if w.Skills != nil {
			skills, faults = readSkills(*w.Skills)
		}
		if w.Tickets != nil {
			tickets, more = readTickets(*w.Tickets)
		}
		if faults = append(faults, more...); len(faults) > 0 {
			skills, tickets = nil, nil
		}
		for _, f := range faults {
			if _, err := tx.Exec(ctx, faultWordSQL, in.batch, w.Line, f.Field, f.Value, f.Rule); err != nil {
				return err
			}
		}
		if _, err := tx.Exec(ctx, crewReadSQL, in.batch, w.Line, skills, tickets); err != nil {
			return err
		}
	}
	return nil
}

// readSkills reads skills parted by blanks or commas, each once, in the order of cost.
func readSkills(text string) ([]string, []scheduler.Fault) {
	known := []string{string(scheduler.Ground), string(scheduler.Lift), string(scheduler.LineClearance)}
	has := map[string]bool{}
	var faults []scheduler.Fault
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' }) {
		word := strings.ToLower(w)
		if !slices.Contains(known, word) {
			faults = append(faults, scheduler.Fault{Field: "skills", Value: w, Rule: "a skill is one of " + strings.Join(known, ", ")})
		}
		has[word] = true
	}
	var out []string
	for _, k := range known {
		if has[k] {
			out = append(out, k)
		}
	}
	return out, faults
}

// readTickets reads "name=YYYY-MM-DD; name=YYYY-MM-DD".
func readTickets(text string) ([]scheduler.Ticket, []scheduler.Fault) {
	var faults []scheduler.Fault
	out := []scheduler.Ticket{}
	for part := range strings.SplitSeq(text, ";") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		what, on, found := strings.Cut(part, "=")
		what = strings.TrimSpace(what)
		expires, err := scheduler.ParseDate(strings.TrimSpace(on))
		if !found || what == "" || err != nil {
			faults = append(faults, scheduler.Fault{
				Field: "tickets", Value: part,
				Rule: "a ticket is written name=YYYY-MM-DD with a day that exists, several parted by semicolons",
			})
			continue
		}
		out = append(out, scheduler.Ticket{What: what, Expires: expires})
	}
	return out, faults
}
