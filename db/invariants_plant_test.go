package db_test

// plants break each rule of deploy/invariants.sql: the statements by its name,
// of which the last one does it.
func plants() map[string][]string {
	const (
		aDraft  = `(SELECT min(id) FROM packet WHERE state = 'draft')`
		aRecord = `(SELECT id FROM work_record WHERE source = 'field' AND outcome = 'done' ORDER BY id LIMIT 1)`
		newRun  = `INSERT INTO audit (at, actor, verb, noun, key) VALUES (now(), 'x', 'ran', 'due_run', '1000000000')`
	)
	return map[string][]string{
		"visit_open_twice": {
			`DROP INDEX visit_one_open_per_kind`,
			`INSERT INTO visit (tree_id, site_id, kind, kinds, state, class, minutes, detail, as_of)
				SELECT tree_id, site_id, kind, kinds, 'due', class, minutes, detail, as_of FROM visit WHERE progress = 'open' LIMIT 1`,
		},
		"visit_off_its_site": {`UPDATE visit SET site_id = (SELECT max(id) FROM site) WHERE id = (SELECT min(id) FROM visit)`},
		"visit_completed_by_nobody": {`UPDATE visit SET progress = 'completed' WHERE id = (
			SELECT min(id) FROM visit v WHERE progress = 'open' AND NOT EXISTS (SELECT FROM stop s WHERE s.visit_id = v.id)
				AND NOT EXISTS (SELECT FROM work_record r WHERE r.tree_id = v.tree_id AND r.source = 'field'))`},
		"stop_live_of_closed_visit": {`UPDATE visit SET progress = 'withdrawn' WHERE id = (SELECT min(visit_id) FROM stop WHERE live)`},
		"stop_live_against_states":  {`UPDATE stop SET live = false WHERE id = (SELECT min(id) FROM stop WHERE live)`},
		"visit_in_two_packets": {
			`DROP INDEX stop_visit_live_once`,
			`UPDATE stop SET visit_id = (SELECT min(visit_id) FROM stop WHERE live AND packet_id = ` + aDraft + `)
				WHERE id = (SELECT max(id) FROM stop WHERE live AND visit_id IS NOT NULL AND packet_id <> ` + aDraft + `)`,
		},
		"stop_done_without_record": {`UPDATE stop SET state = 'part', live = false WHERE id = (
			SELECT min(s.id) FROM stop s JOIN visit v ON v.id = s.visit_id WHERE s.packet_id = ` + aDraft + `
				AND NOT EXISTS (SELECT FROM work_record r WHERE r.tree_id = v.tree_id AND r.source = 'field'))`},
		"crew_day_twice": {
			`DROP INDEX packet_one_live_per_crew_day`,
			`UPDATE packet p SET crew_id = q.crew_id, day = q.day FROM packet q
				WHERE q.id = ` + aDraft + ` AND p.id = (SELECT max(id) FROM packet WHERE state = 'draft')`,
		},
		"packet_lost_stops":    {`UPDATE audit SET detail = '{"stops": 99}' WHERE noun = 'packet' AND verb = 'built' AND key = ` + aDraft + `::text`},
		"packet_minutes_wrong": {`UPDATE packet SET work_min = work_min + 1 WHERE id = ` + aDraft},
		"packet_clock_wrong":   {`UPDATE stop SET arrive = arrive + 1 WHERE id = (SELECT id FROM stop WHERE packet_id = ` + aDraft + ` ORDER BY seq DESC LIMIT 1)`},
		"packet_state_wrong":   {`UPDATE packet SET issued_at = NULL WHERE state IN ('issued', 'started')`},

		"record_without_key_or_answer": {`DELETE FROM record_key WHERE id = ` + aRecord},
		"record_done_visit_open":       {`UPDATE work_record SET visit_id = (SELECT max(id) FROM visit WHERE progress = 'open') WHERE id = ` + aRecord},
		"record_closed_visit_open": {`UPDATE work_record SET answer = jsonb_set(answer, '{visits_closed}', (answer -> 'visits_closed') || '[1000000000]')
			WHERE id = ` + aRecord},
		"record_measured_not_once": {`INSERT INTO measurement (tree_id, on_date, dbh_mm, base_road_mm, source, record_id)
			SELECT tree_id, on_date, dbh_mm, base_road_mm, source, record_id FROM measurement WHERE record_id = ` + aRecord},
		"measurement_of_no_record": {`UPDATE measurement SET source = 'field' WHERE id = (SELECT min(id) FROM measurement WHERE source = 'import')`},
		"watch_items_not_once":     {`DELETE FROM watch_item WHERE id = (SELECT max(id) FROM watch_item)`},
		"watch_letter_twice": {
			`DROP INDEX watch_item_open_letter`,
			`UPDATE watch_item w SET letter = o.letter FROM watch_item o WHERE o.record_id = w.record_id AND o.place < w.place`,
		},
		"base_holds_no_record": {`UPDATE tree_base SET held = held || gen_random_uuid() WHERE tree_id = (SELECT min(tree_id) FROM tree_base)`},
		"hazard_not_once":      {`UPDATE hazard SET visit_id = NULL WHERE id = (SELECT min(id) FROM hazard)`},
		"follow_up_not_once":   {`UPDATE follow_up SET code = 'weather' WHERE id = (SELECT min(id) FROM follow_up)`},
		"tree_dates_wrong":     {`UPDATE tree SET last_visit = last_visit - 1 WHERE id = (SELECT min(id) FROM tree WHERE last_visit IS NOT NULL)`},
		"tree_dose_wrong":      {`UPDATE tree SET dose_used_pct = dose_used_pct + 1 WHERE id = (SELECT min(id) FROM tree WHERE dose_used_pct BETWEEN 1 AND 99)`},
		"tree_sizes_wrong":     {`UPDATE tree SET dbh_mm = dbh_mm + 1 WHERE id = (SELECT tree_id FROM measurement WHERE record_id = ` + aRecord + `)`},
		"tree_bases_wrong":     {`UPDATE tree SET base_road_mm = base_road_mm + 1 WHERE id = (SELECT tree_id FROM measurement WHERE record_id = ` + aRecord + `)`},
		"site_with_two_trees": {
			`DROP INDEX tree_one_standing_per_site`,
			`INSERT INTO tree (ref, site_id, species) SELECT 'second', site_id, species FROM tree WHERE state = 'alive' LIMIT 1`,
		},

		"site_without_facts":       {`DELETE FROM site_fact WHERE site_id = (SELECT min(site_id) FROM site_fact)`},
		"site_on_wrong_face":       {`UPDATE site_fact SET street_side = CASE street_side WHEN 'left' THEN 'right' ELSE 'left' END::tree_side WHERE site_id = (SELECT min(site_id) FROM site_fact WHERE face_id IS NOT NULL)`},
		"street_without_two_faces": {`DELETE FROM block_face WHERE id = (SELECT min(id) FROM block_face b WHERE NOT EXISTS (SELECT FROM site_fact f WHERE f.face_id = b.id))`},

		"batch_counts_wrong":  {`UPDATE batch SET accepted = accepted + 1, read_rows = read_rows + 1 WHERE layer = 'trees'`},
		"batch_left_rows":     {`INSERT INTO batch_change (batch_id, table_name, row_id, before) SELECT id, 'sign', 1, '{}' FROM batch WHERE state = 'undone'`},
		"batch_times_wrong":   {`UPDATE batch SET undone_at = now() WHERE layer = 'trees'`},
		"stage_without_batch": {`INSERT INTO stage_fault (batch_id, line, field, value, rule) SELECT id, 1, '', '', '' FROM batch WHERE layer = 'trees'`},
		"batch_staged_for_ever": {
			`INSERT INTO audit (at, actor, verb, noun, key) VALUES (now(), 'x', 'open', 'batch', '0')`,
			`INSERT INTO batch (id, layer, file, actor, started_at) OVERRIDING SYSTEM VALUE VALUES (0, 'trees', 'x', 'x', '2026-11-01')`,
		},
		"stage_visit_not_empty": {`INSERT INTO stage_visit (pass, tree_id, tree_revision, op) VALUES (1, 1, 1, 'new')`},

		"plan_adopted_twice": {
			`DROP INDEX plan_one_adopted`,
			`INSERT INTO audit (at, actor, verb, noun, key) SELECT now(), 'x', 'adopted', 'plan', id::text FROM plan WHERE state = 'draft'`,
			`UPDATE plan SET state = 'adopted', adopted_on = made_on, adopted_by = 'x' WHERE state = 'draft'`,
		},
		"plan_version_missing": {`UPDATE plan SET version = 9 WHERE version = 2`},
		"plan_hours_wrong":     {`UPDATE plan SET hours = hours + 1 WHERE version = 1`},
		"plan_line_twice": {
			`ALTER TABLE plan_line DROP CONSTRAINT plan_line_pkey`,
			`UPDATE audit SET detail = jsonb_set(detail, '{lines}', to_jsonb((detail ->> 'lines')::int + 1)) WHERE noun = 'plan' AND verb = 'made' AND key = (SELECT min(plan_id)::text FROM plan_line)`,
			`INSERT INTO plan_line (plan_id, visit_id, week, skill, minutes, carried) SELECT plan_id, visit_id, week, skill, 0, carried FROM plan_line ORDER BY plan_id LIMIT 1`,
		},
		"plan_week_outside_year": {`UPDATE plan_line SET week = week + 700 WHERE (plan_id, visit_id) = (SELECT plan_id, visit_id FROM plan_line WHERE week IS NOT NULL LIMIT 1)`},
		"due_run_sums_wrong":     {`UPDATE due_run SET stats = jsonb_set(stats, '{visits}', '1')`},
		"night_and_run_disagree": {`UPDATE overdue_visits SET visits = visits + 1 WHERE ctid = (SELECT min(ctid) FROM overdue_visits WHERE state = 'upcoming')`},
		"night_missing": {
			newRun,
			`INSERT INTO due_run (as_of, whole_city, stats, ran_at, actor, id) OVERRIDING SYSTEM VALUE
				SELECT '2026-11-24', true, '{"visits": 0}', now(), 'schedule', (SELECT min(id) - 1 FROM due_run)`,
			`UPDATE audit SET key = (SELECT min(id)::text FROM due_run) WHERE key = '1000000000'`,
		},
		"night_districts_wrong": {`UPDATE overdue_district SET late = trees + 1 WHERE ctid = (SELECT min(ctid) FROM overdue_district WHERE late > 0)`},

		"audit_of_batch":   {`DELETE FROM audit WHERE noun = 'batch' AND verb = 'apply' AND id = (SELECT min(id) FROM audit WHERE verb = 'apply')`},
		"audit_of_record":  {`DELETE FROM audit WHERE noun = 'work_record' AND key = ` + aRecord + `::text`},
		"audit_of_packet":  {`UPDATE audit SET verb = 'edited' WHERE noun = 'packet' AND verb = 'built' AND key = ` + aDraft + `::text`},
		"audit_of_plan":    {`UPDATE audit SET key = '77' WHERE noun = 'plan' AND verb = 'made' AND id = (SELECT min(id) FROM audit WHERE noun = 'plan')`},
		"audit_of_due_run": {`DELETE FROM audit WHERE noun = 'due_run'`},

		"deviation_off_its_record": {`INSERT INTO deviation (policy_id, tree_id, record_id, rule, on_date, actor, made_at)
			SELECT (SELECT min(id) FROM policy), tree_id, id, 'live_crown', done_on - 1, 'x', now() FROM work_record WHERE id = ` + aRecord},

		"cron_without_job": {`UPDATE cron_run SET enqueued_at = now()`, `DELETE FROM river_job`},
		"job_waits_twice": {`INSERT INTO river_job (kind, args, max_attempts, priority, queue, state)
			SELECT 'x', '{}', 3, 1, 'default', 'available' FROM generate_series(1, 2)`},
		"idle_job_left_running": {`INSERT INTO river_job (kind, args, max_attempts, priority, queue, state, attempted_at)
			VALUES ('x', '{}', 3, 1, 'default', 'running', now())`},
		"job_lost": {`INSERT INTO river_job (kind, args, max_attempts, priority, queue, state, finalized_at)
			VALUES ('x', '{}', 3, 1, 'default', 'discarded', now())`},
		"counter_behind": {
			newRun,
			`INSERT INTO due_run (as_of, whole_city, stats, ran_at, actor, id) OVERRIDING SYSTEM VALUE VALUES ('2026-11-24', false, '{"visits": 0}', now(), 'x', 1000000000)`,
		},
	}
}
