-- +goose Up
-- The words that states and kinds may take. Enums, so that a misspelt state
-- cannot be stored; a new word is a new migration.
CREATE EXTENSION IF NOT EXISTS postgis;

CREATE TYPE owner_kind AS ENUM ('city', 'private', 'shared', 'utility', 'state_road');
CREATE TYPE street_class AS ENUM ('arterial', 'collector', 'residential', 'alley');
CREATE TYPE wire_class AS ENUM ('none', 'communication', 'service', 'secondary', 'primary', 'transmission', 'unknown');
CREATE TYPE tree_state AS ENUM ('alive', 'dead', 'stump', 'removed', 'vacant');
CREATE TYPE date_precision AS ENUM ('day', 'month', 'season', 'year', 'none');
CREATE TYPE training_stage AS ENUM ('not_assessed', 'establishing', 'leader', 'temporaries', 'raising', 'rotation');
CREATE TYPE vigour_class AS ENUM ('good', 'fair', 'poor');
CREATE TYPE tree_side AS ENUM ('road', 'walk', 'up_street', 'down_street', 'left', 'right');
CREATE TYPE watch_intent AS ENUM ('remove_later', 'hold_as_lower_tier', 'decide_next_visit', 'watch');
CREATE TYPE work_kind AS ENUM ('training', 'road_clearance', 'walk_clearance', 'sight_clearance', 'rotation_prune',
    'restoration', 'make_safe', 'removal', 'stump', 'replanting', 'support_inspection', 'basal_sprouts', 'inspection',
    'establishment', 'first_look', 'watering');
CREATE TYPE visit_state AS ENUM ('not_assessed', 'upcoming', 'due', 'overdue_workable', 'overdue_closed', 'held', 'not_ours');
CREATE TYPE visit_progress AS ENUM ('open', 'completed', 'withdrawn');
CREATE TYPE crew_skill AS ENUM ('ground', 'lift', 'line_clearance');
CREATE TYPE plan_state AS ENUM ('draft', 'adopted', 'superseded');
CREATE TYPE packet_state AS ENUM ('draft', 'issued', 'started', 'completed', 'recalled', 'weather_hold');
CREATE TYPE stop_kind AS ENUM ('tree', 'dump', 'break');
CREATE TYPE stop_state AS ENUM ('planned', 'done', 'part', 'not_done');
CREATE TYPE record_outcome AS ENUM ('done', 'part', 'not_done');
CREATE TYPE could_not AS ENUM ('car_in_the_way', 'signs_missing', 'nest', 'wire', 'needs_lift_or_skill', 'weather',
    'resident_or_dog', 'tree_gone', 'dead_or_hazard', 'wrong_species_or_place', 'dose_reached', 'ran_out_of_day');
CREATE TYPE request_state AS ENUM ('open', 'merged', 'visit_made', 'answered');
CREATE TYPE batch_state AS ENUM ('staged', 'applied', 'undone', 'failed');
