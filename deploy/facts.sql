-- What a city knows, without the numbers that its database gave to the rows:
-- two installations that were told the same hold the same lines. Each query
-- returns (what, fact).
BEGIN TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY;

SELECT 'ground' AS what, jsonb_build_array('district', ref, name, ST_AsText(geom)) AS fact FROM district
UNION ALL SELECT 'ground', jsonb_build_array('section', ref, name, cycle_year, ST_AsText(geom)) FROM section
UNION ALL SELECT 'ground', jsonb_build_array('street', to_jsonb(s) - '{id,batch_id,geom_4326,geom_3857}'::text[]) FROM street s
UNION ALL SELECT 'ground', jsonb_build_array('walk', ref, width_mm, ST_AsText(geom)) FROM walk
UNION ALL SELECT 'ground', jsonb_build_array('wire', ref, class, volts, height_mm, ST_AsText(geom)) FROM wire
UNION ALL SELECT 'ground', jsonb_build_array('sign', ref, kind, height_mm, ST_AsText(geom)) FROM sign
UNION ALL SELECT 'ground', jsonb_build_array('depot', ref, name, ST_AsText(geom)) FROM depot
UNION ALL SELECT 'ground', jsonb_build_array('dump', ref, name, minutes, sanitation, ST_AsText(geom)) FROM dump
UNION ALL SELECT 'ground', jsonb_build_array('crew', to_jsonb(c) - '{id,batch_id,depot_id}'::text[]) FROM crew c
ORDER BY 2;

SELECT 'site', jsonb_build_array(s.ref, s.owner, s.address, ST_AsText(s.geom), d.ref, c.ref, st.ref,
    to_jsonb(f) - '{site_id,district_id,section_id,street_id,face_id}'::text[])
FROM site s LEFT JOIN site_fact f ON f.site_id = s.id LEFT JOIN district d ON d.id = f.district_id
LEFT JOIN section c ON c.id = f.section_id LEFT JOIN street st ON st.id = f.street_id ORDER BY s.ref;

SELECT 'tree', (to_jsonb(t) - '{id,site_id,revision,batch_id}'::text[]) || jsonb_build_object('site', s.ref)
FROM tree t JOIN site s ON s.id = t.site_id ORDER BY t.ref;

SELECT 'measurement', jsonb_build_array(t.ref, m.on_date, m.dbh_mm, m.height_mm, m.crown_spread_mm, m.base_road_mm, m.base_walk_mm, m.source, m.record_id)
FROM measurement m JOIN tree t ON t.id = m.tree_id ORDER BY 2;

SELECT 'watch', (to_jsonb(w) - '{id,tree_id}'::text[]) || jsonb_build_object('tree', t.ref)
FROM watch_item w JOIN tree t ON t.id = w.tree_id ORDER BY t.ref, w.letter;

SELECT 'record', jsonb_build_array(r.id, t.ref, r.source, r.by_whom, r.started_at, r.finished_at, r.done_on, r.kinds, r.outcome, r.could_not, r.live_crown_pct,
    r.minutes, r.history_ref, v.kind, c.ref, p.day, (
        SELECT jsonb_agg(x.kind ORDER BY x.kind) FROM jsonb_array_elements_text(r.answer -> 'visits_closed') i JOIN visit x ON x.id = i::bigint))
FROM work_record r JOIN tree t ON t.id = r.tree_id LEFT JOIN visit v ON v.id = r.visit_id LEFT JOIN packet p ON p.id = r.packet_id
LEFT JOIN crew c ON c.id = r.crew_id ORDER BY r.id;

SELECT 'follow_up', (to_jsonb(f) - '{id,tree_id}'::text[]) || jsonb_build_object('tree', t.ref)
FROM follow_up f JOIN tree t ON t.id = f.tree_id ORDER BY f.record_id;

SELECT 'hazard', (to_jsonb(h) - '{id,tree_id,visit_id,act_by,seen_at}'::text[]) || jsonb_build_object('tree', t.ref, 'visit', v.kind)
FROM hazard h JOIN tree t ON t.id = h.tree_id LEFT JOIN visit v ON v.id = h.visit_id ORDER BY h.record_id;

-- A withdrawn visit is one that a run of the rules foresaw and a later run did not: how many
-- runs there were depends on the interruptions.
SELECT 'visit', jsonb_build_array(t.ref, v.kind, v.kinds, v.progress, v.state, v.earliest, v.due, v.latest, v.season, v.closed_until, v.hold, v.hold_until,
    v.class, v.score, v.skill, v.minutes, v.chips_l, v.dose_pct, v.origin, v.detail)
FROM visit v JOIN tree t ON t.id = v.tree_id WHERE v.progress <> 'withdrawn' ORDER BY 2;

SELECT 'plan', jsonb_build_array(p.year, t.ref, v.kind, l.week, l.skill, l.minutes, l.carried)
FROM plan p JOIN plan_line l ON l.plan_id = p.id JOIN visit v ON v.id = l.visit_id JOIN tree t ON t.id = v.tree_id
WHERE p.state = 'adopted' ORDER BY 2;

SELECT 'packet', jsonb_build_array(p.day, c.ref, p.state, p.yard_min, p.drive_min, p.setup_min, p.work_min, p.dump_min, p.break_min, p.slack_min, p.bound_min, (
    SELECT jsonb_agg(jsonb_build_array(s.kind, t.ref, v.kind, d.ref, s.arrive, s.drive_min, s.setup_min, s.work_min, s.state, s.live) ORDER BY s.seq)
    FROM stop s LEFT JOIN visit v ON v.id = s.visit_id LEFT JOIN tree t ON t.id = v.tree_id LEFT JOIN dump d ON d.id = s.dump_id WHERE s.packet_id = p.id))
FROM packet p JOIN crew c ON c.id = p.crew_id WHERE p.state <> 'recalled' ORDER BY p.day, c.ref, p.id;

COMMIT;
