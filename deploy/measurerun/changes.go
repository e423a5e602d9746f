package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// changes measures what a pass costs after one record, one moved street and one
// change of the policy, and that a full pass afterwards finds nothing.
func (h *house) changes(ctx context.Context) error {
	for _, c := range []struct {
		name   string
		change func(context.Context) error
	}{
		{"one record", h.oneRecord}, {"one moved street", h.oneStreet}, {"higher over arterials", h.onePolicy},
	} {
		if err := c.change(ctx); err != nil {
			return fmt.Errorf("%s: %w", c.name, err)
		}
		var got struct{ Looked int }
		if _, err := h.verb(ctx, "due after "+c.name, &got, "due"); err != nil {
			return err
		}
		h.ledger.notes = append(h.ledger.notes, fmt.Sprintf("due after %s looked at %d trees", c.name, got.Looked))
	}
	var full struct {
		Written struct{ New, Changed, Withdrawn int }
	}
	if _, err := h.verb(ctx, "due, every tree, after the changes", &full, "due", "--full"); err != nil {
		return err
	}
	if full.Written != struct{ New, Changed, Withdrawn int }{} {
		return fmt.Errorf("a full pass after the changes wrote %+v", full.Written)
	}
	return nil
}

func (h *house) oneRecord(ctx context.Context) error {
	r, err := h.psql(ctx, `
SELECT json_build_object('tree', t.id, 'visit', v.id, 'kinds', v.kinds) FROM visit v JOIN tree t ON t.id = v.tree_id
WHERE v.progress = 'open' AND v.state = 'due' AND v.kind = 'training' ORDER BY v.id LIMIT 1`)
	if err != nil {
		return err
	}
	var v struct {
		Tree, Visit int64
		Kinds       []string
	}
	if err := json.Unmarshal(r.out, &v); err != nil {
		return fmt.Errorf("find a due visit: %w: %s", err, r.out)
	}
	now := time.Now().Add(-time.Minute)
	text, err := json.Marshal(map[string]any{
		"id": "7b0d2a52-2f0e-4c1c-9a53-0e6a3a1d0001", "tree_id": v.Tree, "visit_id": v.Visit, "by": "measure", "start": now.Add(-10 * time.Minute),
		"finish": now, "kinds": v.Kinds, "outcome": "done", "live_crown_pct": 10,
	})
	if err != nil {
		return err
	}
	file := filepath.Join(h.data, "record.json")
	if err := os.WriteFile(file, text, 0o644); err != nil {
		return err
	}
	_, err = h.verb(ctx, "one work record", nil, "record", "add", file)
	return err
}

// oneStreet moves one street with trees by a metre.
func (h *house) oneStreet(ctx context.Context) error {
	r, err := h.psql(ctx, `
SELECT json_build_object('type', 'FeatureCollection', 'features', json_agg(json_build_object('type', 'Feature',
    'properties', json_build_object('ref', s.ref, 'class', s.class),
    'geometry', ST_AsGeoJSON(ST_Transform(ST_Translate(s.geom, 1, 0), 4326))::json)))
FROM (SELECT st.* FROM street st JOIN site_fact f ON f.street_id = st.id GROUP BY st.id ORDER BY count(*) DESC, st.id LIMIT 1) s`)
	if err != nil {
		return err
	}
	file := filepath.Join(h.data, "street.geojson")
	if err := os.WriteFile(file, r.out, 0o644); err != nil {
		return err
	}
	_, err = h.verb(ctx, "import of one moved street", nil, "import", "streets", file)
	return err
}

// onePolicy asks for half a foot more over arterials.
func (h *house) onePolicy(ctx context.Context) error {
	r, err := h.psql(ctx, "SELECT source FROM policy ORDER BY id DESC LIMIT 1")
	if err != nil {
		return err
	}
	const was, is = "act_at: 14.5 ft, clear_to: 15.5 ft", "act_at: 15 ft, clear_to: 16 ft"
	text := strings.Replace(string(r.out), was, is, 1)
	if text == string(r.out) {
		return fmt.Errorf("the policy does not say %q", was)
	}
	file := filepath.Join(h.data, "policy.yaml")
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		return err
	}
	_, err = h.verb(ctx, "a new policy", nil, "policy", "adopt", file)
	return err
}
