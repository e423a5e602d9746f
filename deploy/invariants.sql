-- What must hold in the database of a city whenever a transaction has ended:
-- nothing half done, lost or doubled. Each query returns the rows that break
-- one rule, as (invariant, subject, what); a sound database returns none.
--
--   psql -X -q -A -t -v ON_ERROR_STOP=1 -f deploy/invariants.sql "$DATABASE_URL"
--
-- The rules are written from the tables alone and share no code with the
-- program. Names that begin with idle_ hold only while no job is at work; all
-- others hold at any moment, for the whole file reads one snapshot.
BEGIN TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY;

-- Visits, packets, stops.

SELECT 'visit_open_twice' AS invariant, 'tree ' || tree_id || ' ' || kind AS subject, count(*) || ' open visits' AS what
FROM visit WHERE progress = 'open' GROUP BY tree_id, kind HAVING count(*) > 1;

SELECT 'visit_off_its_site', 'visit ' || v.id, 'site ' || v.site_id || ', its tree stands on ' || t.site_id
FROM visit v JOIN tree t ON t.id = v.tree_id WHERE v.site_id <> t.site_id;

SELECT 'visit_completed_by_nobody', 'visit ' || v.id, 'no done record names it or answered that it is closed'
FROM visit v
WHERE v.progress = 'completed'
  AND NOT EXISTS (SELECT FROM work_record r WHERE r.visit_id = v.id AND r.outcome = 'done')
  AND NOT EXISTS (
    SELECT FROM work_record r, jsonb_array_elements_text(r.answer -> 'visits_closed') c
    WHERE r.tree_id = v.tree_id AND c::bigint = v.id);

SELECT 'stop_live_of_closed_visit', 'stop ' || s.id, 'visit ' || v.id || ' is ' || v.progress
FROM stop s JOIN visit v ON v.id = s.visit_id WHERE s.live AND v.progress <> 'open';

SELECT 'stop_live_against_states', 'stop ' || s.id, 'live is ' || s.live || ', stop ' || s.state || ', packet ' || p.state
FROM stop s JOIN packet p ON p.id = s.packet_id
WHERE s.live <> (s.state = 'planned' AND p.state IN ('draft', 'issued', 'started', 'weather_hold'));

SELECT 'visit_in_two_packets', 'visit ' || s.visit_id, 'packets ' || string_agg(s.packet_id::text, ', ' ORDER BY s.packet_id)
FROM stop s JOIN packet p ON p.id = s.packet_id
WHERE s.visit_id IS NOT NULL AND s.state = 'planned' AND p.state IN ('draft', 'issued', 'started', 'weather_hold')
GROUP BY s.visit_id HAVING count(*) > 1;

SELECT 'stop_done_without_record', 'stop ' || s.id, s.state || ', and no such record of its visit''s tree'
FROM stop s JOIN visit v ON v.id = s.visit_id
WHERE s.state <> 'planned'
  AND NOT EXISTS (SELECT FROM work_record r WHERE r.tree_id = v.tree_id AND r.outcome::text = s.state::text AND r.source = 'field');

SELECT 'crew_day_twice', 'crew ' || crew_id || ' on ' || day, count(*) || ' live packets'
FROM packet WHERE state IN ('draft', 'issued', 'started', 'weather_hold') GROUP BY crew_id, day HAVING count(*) > 1;

-- The audit says how many stops a packet was given; a packet is never begun without a tree.
SELECT 'packet_lost_stops', 'packet ' || p.id, n.stops || ' stops, ' || n.trees || ' of them trees; its audit says ' || coalesce(a.stops, 'nothing')
FROM packet p
CROSS JOIN LATERAL (
    SELECT count(*) AS stops, count(s.visit_id) AS trees FROM stop s WHERE s.packet_id = p.id) n
LEFT JOIN LATERAL (
    SELECT x.detail ->> 'stops' AS stops, x.verb FROM audit x
    WHERE x.noun = 'packet' AND x.key = p.id::text AND x.verb IN ('built', 'edited') ORDER BY x.id DESC LIMIT 1) a ON true
WHERE n.stops::text IS DISTINCT FROM a.stops OR n.trees = 0 AND a.verb = 'built';

SELECT 'packet_minutes_wrong', 'packet ' || p.id, format('set-up %s of %s, work %s of %s, dump %s of %s, break %s of %s, drive %s of %s, slack %s, bound %s',
    s.setup, p.setup_min, s.work, p.work_min, s.dump, p.dump_min, s.break, p.break_min, s.drive, p.drive_min, p.slack_min, p.bound_min)
FROM packet p
JOIN LATERAL (
    SELECT coalesce(sum(setup_min), 0) AS setup, coalesce(sum(drive_min), 0) AS drive, coalesce(sum(work_min) FILTER (WHERE kind = 'tree'), 0) AS work,
           coalesce(sum(work_min) FILTER (WHERE kind = 'dump'), 0) AS dump, coalesce(sum(work_min) FILTER (WHERE kind = 'break'), 0) AS break
    FROM stop WHERE packet_id = p.id) s ON true
WHERE (s.setup, s.work, s.dump, s.break) IS DISTINCT FROM (p.setup_min, p.work_min, p.dump_min, p.break_min)
   OR s.drive > p.drive_min -- the rest is the way home
   OR p.slack_min < 0
   OR p.bound_min > p.yard_min + p.drive_min + p.setup_min + p.work_min + p.dump_min + p.break_min;

SELECT 'packet_clock_wrong', 'packet ' || packet_id, format('stop %s is number %s and arrives %s, the one before is left %s and the way takes %s', id, seq, arrive, free, drive_min)
FROM (
    SELECT id, packet_id, seq, arrive, drive_min, row_number() OVER w AS place, lag(arrive + setup_min + work_min) OVER w AS free
    FROM stop WINDOW w AS (PARTITION BY packet_id ORDER BY seq)) s
WHERE seq <> place OR arrive <> free + drive_min;

SELECT 'packet_state_wrong', 'packet ' || p.id, p.state || ': ' || w.why
FROM packet p
CROSS JOIN LATERAL (
    SELECT count(*) FILTER (WHERE s.kind = 'tree' AND s.state = 'planned') AS left_over,
           count(*) FILTER (WHERE s.state <> 'planned') AS finished FROM stop s WHERE s.packet_id = p.id) n
CROSS JOIN LATERAL (
    SELECT EXISTS (SELECT FROM audit a WHERE a.noun = 'packet' AND a.key = p.id::text AND a.verb = p.state::text) AS said) a
CROSS JOIN LATERAL (
    SELECT CASE
        WHEN p.state IN ('issued', 'started', 'completed', 'weather_hold') AND (p.issued_at IS NULL OR p.issued_by = '') THEN 'nobody issued it'
        WHEN p.state = 'draft' AND p.issued_at IS NOT NULL THEN 'it was issued'
        WHEN p.state = 'issued' AND n.finished > 0 AND n.left_over = 0 THEN 'every tree is finished'
        WHEN p.state = 'completed' AND n.left_over > 0 AND NOT a.said THEN 'trees are left and nobody completed it'
        WHEN p.state = 'started' AND n.finished = 0 AND NOT a.said THEN 'no tree is finished and nobody started it' END AS why) w
WHERE w.why IS NOT NULL;

-- Work records and the facts of trees.

SELECT 'record_without_key_or_answer', coalesce(k.id, r.id)::text,
    CASE WHEN k.id IS NULL THEN 'no key' WHEN r.id IS NULL THEN 'a key without its record' ELSE 'no answer of its own' END
FROM record_key k FULL JOIN work_record r ON r.id = k.id
WHERE k.id IS NULL OR r.id IS NULL
   OR r.source = 'field' AND ((r.answer ->> 'record_id')::uuid IS DISTINCT FROM r.id OR (r.answer ->> 'tree_id')::bigint IS DISTINCT FROM r.tree_id);

SELECT 'record_done_visit_open', r.id::text, 'visit ' || v.id || ' of tree ' || v.tree_id || ' is ' || v.progress
FROM work_record r JOIN visit v ON v.id = r.visit_id
WHERE r.outcome = 'done' AND v.progress = 'open' OR v.tree_id <> r.tree_id;

SELECT 'record_closed_visit_open', r.id::text, 'it answered that visit ' || c || ' is closed; that one is ' || coalesce(v.progress::text, 'not there')
FROM work_record r CROSS JOIN jsonb_array_elements_text(r.answer -> 'visits_closed') c
LEFT JOIN visit v ON v.id = c::bigint AND v.tree_id = r.tree_id
WHERE v.progress IS DISTINCT FROM 'completed';

SELECT 'record_measured_not_once', r.id::text, m.n || ' measurements'
FROM work_record r
CROSS JOIN LATERAL (SELECT count(*) AS n FROM measurement m WHERE m.record_id = r.id AND m.tree_id = r.tree_id AND m.on_date = r.done_on) m
WHERE m.n <> (greatest((r.body ->> 'dbh_mm')::int, (r.body ->> 'height_mm')::int, (r.body ->> 'base_road_mm')::int, (r.body ->> 'base_walk_mm')::int, 0) > 0)::int;

SELECT 'measurement_of_no_record', 'measurement ' || m.id, 'record ' || coalesce(m.record_id::text, 'none') || ', source ' || m.source
FROM measurement m LEFT JOIN work_record r ON r.id = m.record_id AND r.tree_id = m.tree_id
WHERE (m.source IN ('field', 'history')) <> (r.id IS NOT NULL) OR m.source = 'import' AND m.batch_id IS NULL;

SELECT 'watch_items_not_once', coalesce(r.id, w.record_id)::text, coalesce(w.n, 0) || ' watch items, the record found ' || coalesce(r.n, 0)
FROM (SELECT record_id, tree_id, count(*) AS n FROM watch_item GROUP BY record_id, tree_id) w
FULL JOIN (
    SELECT r.id, r.tree_id, count(*) AS n FROM work_record r, jsonb_array_elements(nullif(r.body -> 'watch', 'null')) f
    WHERE coalesce(f ->> 'letter', '') = '' GROUP BY r.id) r ON r.id = w.record_id AND r.tree_id = w.tree_id
WHERE w.n IS DISTINCT FROM r.n;

SELECT 'watch_letter_twice', 'tree ' || tree_id || ' ' || letter, count(*) || ' items' FROM watch_item GROUP BY tree_id, letter HAVING count(*) > 1;

SELECT 'base_holds_no_record', 'tree ' || b.tree_id, 'record ' || h FROM tree_base b CROSS JOIN unnest(b.held) h
WHERE NOT EXISTS (SELECT FROM work_record r WHERE r.id = h AND r.tree_id = b.tree_id);

SELECT 'hazard_not_once', r.id::text, h.n || ' hazards with an own visit'
FROM work_record r
CROSS JOIN LATERAL (
    SELECT count(*) AS n, count(v.id) AS visits FROM hazard h LEFT JOIN visit v ON v.id = h.visit_id AND v.tree_id = r.tree_id
    WHERE h.record_id = r.id) h
WHERE h.n > 1 OR h.n <> h.visits OR jsonb_typeof(r.body -> 'hazard') = 'object' AND h.n = 0;

SELECT 'follow_up_not_once', 'record ' || f.record_id, count(*) || ' follow-ups; the record says ' || coalesce(min(r.could_not::text), 'nothing')
FROM follow_up f LEFT JOIN work_record r ON r.id = f.record_id AND r.tree_id = f.tree_id AND r.could_not = f.code
GROUP BY f.record_id HAVING count(*) > 1 OR count(r.id) = 0;

SELECT 'tree_dates_wrong', 'tree ' || t.id, format('%s; its records say %s', f.facts, r.said)
FROM tree t
CROSS JOIN LATERAL (
    SELECT jsonb_build_object('visit', t.last_visit, 'training', t.last_training, 'rotation', t.last_rotation, 'raise', t.last_raise,
        'broken', t.broken_on, 'restored', t.last_restored, 'inspected', t.last_inspected, 'watered', t.last_watered,
        'sprouts', t.last_sprouts) AS facts) f
LEFT JOIN (
    SELECT tree_id, jsonb_build_object('visit', max(done_on) FILTER (WHERE NOT kinds <@ '{watering,basal_sprouts}'::work_kind[]),
        'training', max(done_on) FILTER (WHERE outcome = 'done' AND 'training' = ANY (kinds)),
        'rotation', max(done_on) FILTER (WHERE outcome = 'done' AND 'rotation_prune' = ANY (kinds)),
        'raise', max(done_on) FILTER (WHERE outcome = 'done' AND kinds && '{road_clearance,walk_clearance}'::work_kind[]),
        'broken', max(done_on) FILTER (WHERE outcome = 'done' AND 'make_safe' = ANY (kinds)),
        'restored', max(done_on) FILTER (WHERE outcome = 'done' AND 'restoration' = ANY (kinds)),
        'inspected', max(done_on) FILTER (WHERE outcome = 'done' AND kinds && '{inspection,establishment,first_look}'::work_kind[]),
        'watered', max(done_on) FILTER (WHERE outcome = 'done' AND 'watering' = ANY (kinds)),
        'sprouts', max(done_on) FILTER (WHERE outcome = 'done' AND 'basal_sprouts' = ANY (kinds))) AS said
    FROM work_record WHERE outcome <> 'not_done' GROUP BY tree_id) r ON r.tree_id = t.id
WHERE jsonb_strip_nulls(f.facts) IS DISTINCT FROM jsonb_strip_nulls(coalesce(r.said, '{}'));

-- The dose of a season that runs from November to October.
SELECT 'tree_dose_wrong', 'tree ' || t.id, format('%s %% in %s; its records say %s %% in %s', t.dose_used_pct, t.dose_season, r.used, r.season)
FROM tree t LEFT JOIN LATERAL (
    SELECT extract(year FROM w.done_on + interval '2 months')::int AS season, least(100, sum(w.live_crown_pct)) AS used
    FROM work_record w WHERE w.tree_id = t.id AND w.outcome <> 'not_done' GROUP BY 1 ORDER BY 1 DESC LIMIT 1) r ON true
WHERE (t.dose_season, t.dose_used_pct) <> (coalesce(r.season, 0), coalesce(r.used, 0));

SELECT 'tree_sizes_wrong', 'tree ' || t.id, format('dbh %s, height %s, crown %s on %s; the measurements of %s: %s, %s, %s',
    t.dbh_mm, t.height_mm, t.crown_spread_mm, t.measured_on, m.newest, d.dbh, d.height, d.crown)
FROM tree t
JOIN (SELECT tree_id, max(on_date) AS newest FROM measurement WHERE num_nonnulls(dbh_mm, height_mm, crown_spread_mm) > 0 GROUP BY tree_id) m ON m.tree_id = t.id
CROSS JOIN LATERAL (
    SELECT array_agg(dbh_mm) FILTER (WHERE dbh_mm IS NOT NULL) AS dbh, array_agg(height_mm) FILTER (WHERE height_mm IS NOT NULL) AS height,
           array_agg(crown_spread_mm) FILTER (WHERE crown_spread_mm IS NOT NULL) AS crown
    FROM measurement WHERE tree_id = t.id AND on_date = m.newest) d
WHERE t.measured_on IS DISTINCT FROM m.newest OR NOT coalesce(t.dbh_mm = ANY (d.dbh), d.dbh IS NULL)
   OR NOT coalesce(t.height_mm = ANY (d.height), d.height IS NULL) OR NOT coalesce(t.crown_spread_mm = ANY (d.crown), d.crown IS NULL);

SELECT 'tree_bases_wrong', 'tree ' || t.id, format('road %s, walk %s on %s; the measurements of %s: %s, %s', t.base_road_mm, t.base_walk_mm, t.base_on, m.newest, d.road, d.walk)
FROM tree t
JOIN (SELECT tree_id, max(on_date) AS newest FROM measurement WHERE num_nonnulls(base_road_mm, base_walk_mm) > 0 GROUP BY tree_id) m ON m.tree_id = t.id
CROSS JOIN LATERAL (
    SELECT array_agg(base_road_mm) FILTER (WHERE base_road_mm IS NOT NULL) AS road, array_agg(base_walk_mm) FILTER (WHERE base_walk_mm IS NOT NULL) AS walk
    FROM measurement WHERE tree_id = t.id AND on_date = m.newest) d
WHERE t.base_on IS DISTINCT FROM m.newest OR NOT coalesce(t.base_road_mm = ANY (d.road), d.road IS NULL)
   OR NOT coalesce(t.base_walk_mm = ANY (d.walk), d.walk IS NULL);

SELECT 'site_with_two_trees', 'site ' || site_id, count(*) || ' trees stand on it'
FROM tree WHERE state IN ('alive', 'dead', 'stump') GROUP BY site_id HAVING count(*) > 1;

-- The ground.

SELECT 'site_without_facts', 'site ' || s.id, 'it was not reduced to numbers'
FROM site s LEFT JOIN site_fact f ON f.site_id = s.id WHERE f.site_id IS NULL;

SELECT 'site_on_wrong_face', 'site ' || f.site_id, 'face ' || coalesce(b.id::text, 'none') || ' is not the ' || coalesce(f.street_side::text, 'missing') || ' of street ' || coalesce(f.street_id::text, 'none')
FROM site_fact f LEFT JOIN block_face b ON b.id = f.face_id
WHERE (f.street_id, f.street_side) IS DISTINCT FROM (b.street_id, b.side) AND (f.street_id IS NOT NULL OR f.face_id IS NOT NULL);

SELECT 'street_without_two_faces', 'street ' || s.id, f.sides || ' sides'
FROM street s CROSS JOIN LATERAL (SELECT count(*) AS faces, count(DISTINCT side) AS sides FROM block_face b WHERE b.street_id = s.id) f
WHERE f.faces <> 2 OR f.sides <> 2;

-- Imports. Every row says which batch made it; what a batch changed stands in batch_change.

SELECT 'batch_counts_wrong', 'batch ' || b.id || ' of ' || b.layer, format('read %s, accepted %s, rejected %s, merged %s, unchanged %s; %s rows made, %s to %s changed',
    b.read_rows, b.accepted, b.rejected, b.merged, b.unchanged, r.made, c.least, c.most)
FROM batch b
CROSS JOIN LATERAL (
    SELECT CASE b.layer
        WHEN 'districts' THEN (SELECT count(*) FROM district WHERE batch_id = b.id)
        WHEN 'sections' THEN (SELECT count(*) FROM section WHERE batch_id = b.id)
        WHEN 'streets' THEN (SELECT count(*) FROM street WHERE batch_id = b.id)
        WHEN 'walks' THEN (SELECT count(*) FROM walk WHERE batch_id = b.id)
        WHEN 'wires' THEN (SELECT count(*) FROM wire WHERE batch_id = b.id)
        WHEN 'signs' THEN (SELECT count(*) FROM sign WHERE batch_id = b.id)
        WHEN 'depots' THEN (SELECT count(*) FROM depot WHERE batch_id = b.id)
        WHEN 'dumps' THEN (SELECT count(*) FROM dump WHERE batch_id = b.id)
        WHEN 'crews' THEN (SELECT count(*) FROM crew WHERE batch_id = b.id)
        WHEN 'trees' THEN (SELECT count(*) FROM tree WHERE batch_id = b.id)
        WHEN 'history' THEN (SELECT count(*) FROM work_record WHERE batch_id = b.id) END AS made) r
CROSS JOIN LATERAL (
    -- A row of a tree file changes its tree, its site, or both; a tree that gives way to a new one has no row.
    SELECT CASE b.layer WHEN 'history' THEN 0
               WHEN 'trees' THEN greatest(count(*) FILTER (WHERE table_name = 'tree' AND before ->> 'state' <> 'vacant'), count(*) FILTER (WHERE table_name = 'site') - r.made)
               ELSE count(*) END AS least,
           CASE b.layer WHEN 'history' THEN 0 ELSE count(*) END AS most
    FROM batch_change WHERE batch_id = b.id) c
WHERE b.state = 'applied'
  AND (b.read_rows <> b.accepted + b.rejected OR b.accepted - b.merged - b.unchanged - r.made NOT BETWEEN c.least AND c.most);

SELECT 'batch_left_rows', 'batch ' || b.id || ' of ' || b.layer || ', ' || b.state, count(*) || ' rows in ' || string_agg(DISTINCT r.name, ', ')
FROM batch b JOIN (
    SELECT 'district' AS name, batch_id FROM district UNION ALL SELECT 'section', batch_id FROM section
    UNION ALL SELECT 'street', batch_id FROM street UNION ALL SELECT 'walk', batch_id FROM walk UNION ALL SELECT 'wire', batch_id FROM wire
    UNION ALL SELECT 'sign', batch_id FROM sign UNION ALL SELECT 'depot', batch_id FROM depot UNION ALL SELECT 'dump', batch_id FROM dump
    UNION ALL SELECT 'crew', batch_id FROM crew UNION ALL SELECT 'site', batch_id FROM site UNION ALL SELECT 'tree', batch_id FROM tree
    UNION ALL SELECT 'measurement', batch_id FROM measurement UNION ALL SELECT 'work_record', batch_id FROM work_record
    UNION ALL SELECT 'batch_change', batch_id FROM batch_change) r ON r.batch_id = b.id
WHERE b.state <> 'applied' GROUP BY b.id;

SELECT 'batch_times_wrong', 'batch ' || id, state || ', applied ' || coalesce(applied_at::text, 'never') || ', undone ' || coalesce(undone_at::text, 'never')
FROM batch WHERE (applied_at IS NOT NULL) <> (state IN ('applied', 'undone')) OR (undone_at IS NOT NULL) <> (state = 'undone');

SELECT 'stage_without_batch', s.name || ' of batch ' || s.batch_id, count(*) || ' rows; the batch is ' || coalesce(min(b.state::text), 'not there')
FROM (
    SELECT 'stage_key' AS name, batch_id FROM stage_key UNION ALL SELECT 'stage_fault', batch_id FROM stage_fault
    UNION ALL SELECT 'stage_districts', batch_id FROM stage_districts UNION ALL SELECT 'stage_sections', batch_id FROM stage_sections
    UNION ALL SELECT 'stage_streets', batch_id FROM stage_streets UNION ALL SELECT 'stage_walks', batch_id FROM stage_walks
    UNION ALL SELECT 'stage_wires', batch_id FROM stage_wires UNION ALL SELECT 'stage_signs', batch_id FROM stage_signs
    UNION ALL SELECT 'stage_depots', batch_id FROM stage_depots UNION ALL SELECT 'stage_dumps', batch_id FROM stage_dumps
    UNION ALL SELECT 'stage_crews', batch_id FROM stage_crews UNION ALL SELECT 'stage_trees', batch_id FROM stage_trees
    UNION ALL SELECT 'stage_history', batch_id FROM stage_history) s
LEFT JOIN batch b ON b.id = s.batch_id
WHERE b.state IS DISTINCT FROM 'staged' GROUP BY s.name, s.batch_id;

-- A batch whose import was killed stays staged until an import a day later sweeps it away. One that
-- is held for a decision has its counts.
SELECT 'batch_staged_for_ever', 'batch ' || b.id || ' of ' || b.layer, 'staged since ' || b.started_at || ', and batch ' || l.id || ' came since'
FROM batch b JOIN LATERAL (
    SELECT n.id FROM batch n WHERE n.id > b.id AND n.started_at > b.started_at + interval '1 day' ORDER BY n.id LIMIT 1) l ON true
WHERE b.state = 'staged' AND b.read_rows = 0;

SELECT 'stage_visit_not_empty', 'pass ' || pass, count(*) || ' rows' FROM stage_visit GROUP BY pass;

-- Plans and runs of the rules.

SELECT 'plan_adopted_twice', 'year ' || year, count(*) || ' adopted plans' FROM plan WHERE state = 'adopted' GROUP BY year HAVING count(*) > 1;

SELECT 'plan_version_missing', 'year ' || year, format('versions %s to %s, %s plans', min(version), max(version), count(*))
FROM plan GROUP BY year HAVING min(version) <> 1 OR max(version) <> count(*);

SELECT 'plan_hours_wrong', 'plan ' || p.id, format('%s hours; its lines have %s minutes', p.hours, l.minutes)
FROM plan p CROSS JOIN LATERAL (SELECT coalesce(sum(minutes), 0) AS minutes FROM plan_line WHERE plan_id = p.id AND week IS NOT NULL) l
WHERE abs(p.hours * 60 - l.minutes) > 0.5;

SELECT 'plan_line_twice', 'plan ' || plan_id || ' visit ' || visit_id, count(*) || ' lines'
FROM plan_line GROUP BY plan_id, visit_id HAVING count(*) > 1;

SELECT 'plan_week_outside_year', 'plan ' || p.id || ' visit ' || l.visit_id, 'week ' || l.week || ' of ' || p.year
FROM plan_line l JOIN plan p ON p.id = l.plan_id WHERE extract(isoyear FROM l.week) <> p.year;

SELECT 'due_run_sums_wrong', 'due run ' || r.id, format('%s visits, %s by kind, %s by state', r.stats ->> 'visits', k.n, s.n)
FROM due_run r
CROSS JOIN LATERAL (SELECT coalesce(sum(value::bigint), 0) AS n FROM jsonb_each_text(coalesce(nullif(r.stats -> 'by_kind', 'null'), '{}'))) k
CROSS JOIN LATERAL (SELECT coalesce(sum(value::bigint), 0) AS n FROM jsonb_each_text(coalesce(nullif(r.stats -> 'by_state', 'null'), '{}'))) s
WHERE (r.stats ->> 'visits')::bigint <> k.n OR k.n <> s.n;

-- The table of a night is what its run counted, and the nightly run leaves one.
SELECT 'night_and_run_disagree', 'night ' || coalesce(n.night, r.night), format('%s: %s visits in the table, %s in run %s of %s', coalesce(n.state, r.state), n.visits, r.visits, r.id, r.as_of)
FROM (SELECT night, state::text, sum(visits) AS visits FROM overdue_visits GROUP BY night, state) n
FULL JOIN (
    SELECT o.night, u.id, u.as_of, e.key AS state, e.value::bigint AS visits
    FROM overdue_night o LEFT JOIN due_run u ON u.id = o.run_id
    CROSS JOIN LATERAL jsonb_each_text(coalesce(nullif(u.stats -> 'by_state', 'null'), '{}')) e) r ON r.night = n.night AND r.state = n.state
WHERE n.visits IS DISTINCT FROM r.visits OR r.as_of <> r.night;

SELECT 'night_missing', 'night ' || r.as_of, 'run ' || r.id || ' of the schedule left no table'
FROM due_run r WHERE r.actor = 'schedule' AND r.whole_city AND NOT EXISTS (SELECT FROM overdue_night n WHERE n.night = r.as_of);

SELECT 'night_districts_wrong', 'night ' || n.night || ' district ' || d.district_ref, format('%s of %s trees late, %s overdue visits', d.late, d.trees, v.late)
FROM overdue_night n JOIN overdue_district d USING (night)
CROSS JOIN LATERAL (
    SELECT coalesce(sum(visits), 0) AS late FROM overdue_visits v
    WHERE v.night = d.night AND v.district_ref = d.district_ref AND v.state IN ('overdue_workable', 'overdue_closed')) v
WHERE d.late > d.trees OR d.late > v.late OR (d.late = 0) <> (v.late = 0);

-- Audit: every write has its line, and no line speaks of what is not there.

SELECT 'audit_of_batch', 'batch ' || coalesce(b.id::text, a.key), format('%s; opened %s, applied %s, undone %s, discarded %s times', coalesce(b.state::text, 'not there'), a.open, a.apply, a.undo, a.discard)
FROM batch b FULL JOIN (
    SELECT key, count(*) FILTER (WHERE verb = 'open') AS open, count(*) FILTER (WHERE verb = 'apply') AS apply,
           count(*) FILTER (WHERE verb = 'undo') AS undo, count(*) FILTER (WHERE verb = 'discard') AS discard
    FROM audit WHERE noun = 'batch' GROUP BY key) a ON a.key = b.id::text
WHERE (a.open, a.apply, a.undo, a.discard) IS DISTINCT FROM
      (1::bigint, coalesce(b.state IN ('applied', 'undone'), false)::int::bigint, coalesce(b.state = 'undone', false)::int::bigint, (b.id IS NULL)::int::bigint);

SELECT 'audit_of_record', coalesce(r.id::text, a.key), coalesce(a.n, 0) || ' lines for ' || coalesce(r.source || ' record', 'no record')
FROM work_record r FULL JOIN (SELECT key, count(*) AS n FROM audit WHERE noun = 'work_record' AND verb = 'recorded' GROUP BY key) a ON a.key = r.id::text
WHERE coalesce(a.n, 0) <> coalesce(r.source = 'field', false)::int OR r.id IS NULL;

SELECT 'audit_of_packet', 'packet ' || coalesce(p.id::text, a.key), coalesce(p.state::text, 'not there') || ': ' || coalesce(a.built, 0) || ' times built; last said to be ' || coalesce(a.said, 'nothing')
FROM packet p FULL JOIN (
    SELECT key, count(*) FILTER (WHERE verb = 'built') AS built,
           (array_agg(verb ORDER BY id DESC) FILTER (WHERE verb IN ('issued', 'started', 'completed', 'recalled', 'weather_hold')))[1] AS said
    FROM audit WHERE noun = 'packet' GROUP BY key) a ON a.key = p.id::text
WHERE coalesce(a.built, 0) <> (p.id IS NOT NULL)::int
   -- Records start and complete a packet, and have lines of their own.
   OR p.state::text <> coalesce(a.said, 'draft') AND NOT (p.state IN ('started', 'completed') AND a.said IN ('issued', 'started'));

SELECT 'audit_of_plan', 'plan ' || coalesce(p.id::text, a.key), format('%s with %s lines; made %s times with %s lines, adopted %s times', coalesce(p.state::text, 'not there'), l.n, a.made, a.lines, a.adopted)
FROM plan p FULL JOIN (
    SELECT key, count(*) FILTER (WHERE verb = 'made') AS made, max((detail ->> 'lines')::bigint) FILTER (WHERE verb = 'made') AS lines,
           count(*) FILTER (WHERE verb = 'adopted') AS adopted
    FROM audit WHERE noun = 'plan' GROUP BY key) a ON a.key = p.id::text
CROSS JOIN LATERAL (SELECT count(*) AS n FROM plan_line WHERE plan_id = p.id) l
WHERE p.id IS NULL OR (a.made, a.lines, a.adopted) IS DISTINCT FROM (1::bigint, l.n, (p.state <> 'draft')::int::bigint);

SELECT 'audit_of_due_run', 'due run ' || coalesce(r.id::text, a.key), coalesce(a.n, 0) || ' lines for ' || CASE WHEN r.id IS NULL THEN 'no run' ELSE 'it' END
FROM due_run r FULL JOIN (SELECT key, count(*) AS n FROM audit WHERE noun = 'due_run' AND verb = 'ran' GROUP BY key) a ON a.key = r.id::text
WHERE r.id IS NULL OR a.n IS DISTINCT FROM 1;

-- Schedules and jobs.

SELECT 'cron_without_job', c.name || ' of ' || c.civil_date, coalesce(a.n, 0) || ' times queued, ' || coalesce(a.jobs, 0) || ' jobs there'
FROM cron_run c FULL JOIN (
    SELECT substr(a.actor, 10) AS name, (a.detail ->> 'civil_date')::date AS civil_date, count(*) AS n, count(j.id) AS jobs
    FROM audit a LEFT JOIN river_job j ON j.id = (a.detail ->> 'job')::bigint
    WHERE a.noun = 'job' AND a.verb = 'enqueue' AND a.actor LIKE 'schedule %' GROUP BY 1, 2) a USING (name, civil_date)
WHERE c.enqueued_at IS NULL OR a.n IS DISTINCT FROM 1
   -- Finished jobs are cleaned away after a day.
   OR a.jobs = 0 AND c.enqueued_at > now() - interval '20 hours';

SELECT 'job_waits_twice', kind || ' ' || args, count(*) || ' jobs that wait or run'
FROM river_job WHERE state IN ('available', 'pending', 'retryable', 'running', 'scheduled') GROUP BY kind, args HAVING count(*) > 1;

SELECT 'idle_job_left_running', 'job ' || id || ', ' || kind, 'running since ' || attempted_at || ' by ' || coalesce(attempted_by[array_upper(attempted_by, 1)], 'nobody')
FROM river_job WHERE state = 'running';

SELECT 'job_lost', 'job ' || id || ', ' || kind, state || ' after ' || attempt || ' of ' || max_attempts || ' tries: ' || coalesce(errors[array_upper(errors, 1)] ->> 'error', 'no error')
FROM river_job WHERE state = 'discarded';

-- Departures: a logged one is of its record's tree and day; one without a record says why and who approved it.
SELECT 'deviation_off_its_record', 'deviation ' || d.id, d.rule || ' of tree ' || coalesce(d.tree_id::text, 'none') || ' on ' || d.on_date
FROM deviation d LEFT JOIN work_record r ON r.id = d.record_id
WHERE d.record_id IS NOT NULL AND (r.tree_id, r.done_on) IS DISTINCT FROM (d.tree_id, d.on_date)
   OR d.record_id IS NULL AND (d.why = '' OR d.approved_by = '');

-- Numbers: a counter never falls behind the rows it numbered.
SELECT 'counter_behind', n.name, 'at ' || coalesce(pg_sequence_last_value(pg_get_serial_sequence(n.name, 'id')::regclass), 0) || ', the last row is ' || n.last
FROM (
    SELECT 'tree' AS name, max(id) AS last FROM tree UNION ALL SELECT 'site', max(id) FROM site UNION ALL SELECT 'visit', max(id) FROM visit
    UNION ALL SELECT 'packet', max(id) FROM packet UNION ALL SELECT 'stop', max(id) FROM stop UNION ALL SELECT 'plan', max(id) FROM plan
    UNION ALL SELECT 'batch', max(id) FROM batch UNION ALL SELECT 'audit', max(id) FROM audit UNION ALL SELECT 'due_run', max(id) FROM due_run
    UNION ALL SELECT 'measurement', max(id) FROM measurement UNION ALL SELECT 'watch_item', max(id) FROM watch_item
    UNION ALL SELECT 'river_job', max(id) FROM river_job) n
WHERE n.last > coalesce(pg_sequence_last_value(pg_get_serial_sequence(n.name, 'id')::regclass), 0);

COMMIT;
