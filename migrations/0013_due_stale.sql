-- +goose Up
-- Notes of trees whose facts have changed since a due pass looked at them, so
-- that the next one looks at those alone. Whatever the rules read of a tree
-- notes it here, by trigger, whoever writes it. Notes are only ever added, and a
-- tree may stand here often: a pass takes the notes it finds before it reads the
-- trees, so that one written meanwhile waits for the next pass and nobody waits for a lock.
CREATE TABLE due_stale (tree_id bigint NOT NULL);

-- +goose StatementBegin
CREATE FUNCTION due_stale_tree() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO due_stale SELECT id FROM changed;
    RETURN NULL;
END $$;
CREATE FUNCTION due_stale_of_tree() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO due_stale SELECT DISTINCT tree_id FROM changed;
    RETURN NULL;
END $$;
CREATE FUNCTION due_stale_site() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO due_stale SELECT t.id FROM changed c JOIN tree t ON t.site_id = c.id;
    RETURN NULL;
END $$;
CREATE FUNCTION due_stale_site_fact() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO due_stale SELECT t.id FROM changed c JOIN tree t ON t.site_id = c.site_id;
    RETURN NULL;
END $$;
CREATE FUNCTION due_stale_street() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO due_stale
    SELECT t.id FROM changed c JOIN site_fact f ON f.street_id = c.id JOIN tree t ON t.site_id = f.site_id;
    RETURN NULL;
END $$;
CREATE FUNCTION due_stale_species() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO due_stale SELECT t.id FROM changed c JOIN tree t ON t.species = c.code;
    RETURN NULL;
END $$;
-- A visit in a live packet is kept though the rules want it no longer; when the
-- packet ends, so does the reason to keep it.
CREATE FUNCTION due_stale_stop() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'DELETE' THEN
        INSERT INTO due_stale SELECT v.tree_id FROM gone g JOIN visit v ON v.id = g.visit_id WHERE g.live;
    ELSE
        INSERT INTO due_stale
        SELECT v.tree_id FROM gone g JOIN changed c USING (id) JOIN visit v ON v.id = g.visit_id
        WHERE g.live AND (NOT c.live OR c.visit_id IS DISTINCT FROM g.visit_id);
    END IF;
    RETURN NULL;
END $$;
-- +goose StatementEnd

CREATE TRIGGER tree_added AFTER INSERT ON tree REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_tree();
CREATE TRIGGER tree_changed AFTER UPDATE ON tree REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_tree();
CREATE TRIGGER site_changed AFTER UPDATE ON site REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_site();
CREATE TRIGGER site_fact_changed AFTER UPDATE ON site_fact REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_site_fact();
CREATE TRIGGER site_fact_gone AFTER DELETE ON site_fact REFERENCING OLD TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_site_fact();
CREATE TRIGGER street_changed AFTER UPDATE ON street REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_street();
CREATE TRIGGER species_changed AFTER UPDATE ON species REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_species();
CREATE TRIGGER watch_item_added AFTER INSERT ON watch_item REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_of_tree();
CREATE TRIGGER watch_item_changed AFTER UPDATE ON watch_item REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_of_tree();
CREATE TRIGGER watch_item_gone AFTER DELETE ON watch_item REFERENCING OLD TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_of_tree();
CREATE TRIGGER follow_up_added AFTER INSERT ON follow_up REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_of_tree();
CREATE TRIGGER follow_up_changed AFTER UPDATE ON follow_up REFERENCING NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_of_tree();
CREATE TRIGGER follow_up_gone AFTER DELETE ON follow_up REFERENCING OLD TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_of_tree();
CREATE TRIGGER stop_changed AFTER UPDATE ON stop REFERENCING OLD TABLE AS gone NEW TABLE AS changed
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_stop();
CREATE TRIGGER stop_gone AFTER DELETE ON stop REFERENCING OLD TABLE AS gone
    FOR EACH STATEMENT EXECUTE FUNCTION due_stale_stop();
