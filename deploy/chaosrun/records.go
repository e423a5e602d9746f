package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// record is a work record as a field device sends it.
type record map[string]any

// candidates are open visits, half of them in issued packets. The columns are
// numbers of this house except ref, kind and what is known of the tree.
const candidates = `
SELECT * FROM (
    SELECT DISTINCT ON (t.id) t.ref, v.kind, t.id, v.id, coalesce(p.id, 0), coalesce(p.crew_id, 0), array_to_json(v.kinds), coalesce(t.dbh_mm, 0),
        coalesce((SELECT min(w.letter) FROM watch_item w WHERE w.tree_id = t.id AND NOT w.resolved), ''), p.id IS NOT NULL AS packed
    FROM visit v JOIN tree t ON t.id = v.tree_id
    LEFT JOIN stop s ON s.visit_id = v.id AND s.live LEFT JOIN packet p ON p.id = s.packet_id AND p.state IN ('issued', 'started')
    WHERE v.progress = 'open' AND t.state = 'alive' AND (s.id IS NULL OR p.id IS NOT NULL)
      AND (t.planted IS NULL OR t.planted < date '%[1]s' - 400)
    ORDER BY t.id, v.kind) c
ORDER BY packed AND md5(ref || '%[2]s') < '8' DESC, md5(ref || kind::text || '%[2]s') LIMIT %[3]d`

// records makes the records of one round: most finish their visit, some in part
// or not at all, some are late, some trees get a second one that is older than the
// first, and a few are in the list twice.
func (s *story) records(h *house, word string, n int) ([]record, error) {
	rows, err := h.sql("-c", fmt.Sprintf(candidates, s.day(0), word, n))
	if err != nil {
		return nil, err
	}
	if len(rows) < n {
		return nil, fmt.Errorf("%d visits to make records of, want %d", len(rows), n)
	}
	var list []record
	for _, row := range rows {
		r := s.record(row, word)
		list = append(list, r)
		if s.chance(5, "older too", word, row) == 0 {
			list = append(list, s.older(r, row, word))
		}
		if s.chance(6, "twice", word, row) == 0 {
			list = append(list, r)
		}
	}
	return list, nil
}

// chance draws from what is the same in every house: the tree and the kind of work.
func (s *story) chance(n int, what, word string, row []string) int {
	return chance(s.seed, n, what, word, row[0], row[1])
}

func (s *story) id(what, word string, row []string) string {
	x := func(part string) int { return s.chance(1<<30, what+part, word, row) }
	return fmt.Sprintf("%08x-%04x-4%03x-8%03x-%06x%06x", x("1"), x("2")&0xffff, x("3")&0xfff, x("4")&0xfff, x("5")&0xffffff, x("6")&0xffffff)
}

func (s *story) record(row []string, word string) record {
	finish := s.today.Add(-time.Hour).AddDate(0, 0, -s.chance(45, "days ago", word, row))
	r := record{
		"id": s.id("id", word, row), "tree_id": json.Number(row[2]), "visit_id": json.Number(row[3]), "by": "A. Leader",
		"start": finish.Add(-25 * time.Minute).UTC().Format(time.RFC3339), "finish": finish.UTC().Format(time.RFC3339),
		"kinds": json.RawMessage(row[6]), "outcome": "done", "live_crown_pct": s.chance(15, "crown", word, row),
	}
	if row[4] != "0" {
		r["packet_id"], r["crew_id"] = json.Number(row[4]), json.Number(row[5])
	}
	switch s.chance(10, "outcome", word, row) {
	case 0, 1:
		r["outcome"] = "part"
	case 2:
		codes := []string{"car_in_the_way", "nest", "weather", "ran_out_of_day", "resident_or_dog"}
		r["outcome"], r["could_not"], r["live_crown_pct"] = "not_done", codes[s.chance(len(codes), "code", word, row)], 0
	}
	s.sizes(r, row, word)
	if s.chance(3, "watch", word, row) == 0 {
		r["watch"] = []record{{"what": "competing leader", "height_mm": 2400, "diameter_mm": 30, "stem_diameter_mm": 60, "done": "reduced by half", "reduced": true, "intent": "remove_later"}}
	} else if row[8] != "" {
		r["watch"] = []record{{"letter": row[8], "diameter_mm": 35, "done": "left"}}
	}
	if s.chance(12, "hazard", word, row) == 0 {
		r["hazard"] = record{"what": "hanging branch over the walk", "class": 1, "called_to": "duty desk", "at": r["finish"]}
	}
	return r
}

func (s *story) sizes(r record, row []string, word string) {
	if s.chance(2, "sizes", word, row) == 0 {
		r["base_road_mm"], r["base_walk_mm"] = 2600, 2400
		if row[7] != "0" {
			var mm int
			_, _ = fmt.Sscan(row[7], &mm) // a whole number of the database
			r["dbh_mm"] = mm + 4
		}
	}
}

// older is a visit that nobody planned, weeks before the record that is sent first.
func (s *story) older(r record, row []string, word string) record {
	finish := s.today.AddDate(0, 0, -60-s.chance(30, "older", word, row))
	return record{
		"id": s.id("older", word, row), "tree_id": r["tree_id"], "by": "A. Leader", "kinds": []string{"inspection"}, "outcome": "done",
		"start": finish.Add(-5 * time.Minute).UTC().Format(time.RFC3339), "finish": finish.UTC().Format(time.RFC3339),
		"live_crown_pct": 0, "base_road_mm": 2500,
	}
}

// once makes the records of a house at the first look and keeps them: a device
// sends what it wrote down, however often it must.
func (s *story) once(word string, n int) func(h *house) ([]record, error) {
	kept := map[*house][]record{}
	return func(h *house) (list []record, err error) {
		if kept[h] == nil {
			kept[h], err = s.records(h, word, n)
		}
		return kept[h], err
	}
}

// recordFile brings a list in on the command line; after an interruption the
// whole list again.
func (s *story) recordFile(n int) *action {
	word := fmt.Sprintf("file %d", n)
	records := s.once(word, 25)
	return &action{
		step: "record", name: "records of a file " + fmt.Sprint(n), odds: 0.8,
		args: func(h *house) ([]string, error) {
			list, err := records(h)
			if err != nil {
				return nil, err
			}
			text, err := json.Marshal(list)
			if err != nil {
				return nil, err
			}
			name := filepath.Join(h.dir, strings.ReplaceAll(word, " ", "-")+".json")
			return []string{"record", "add", name}, os.WriteFile(name, text, 0o644)
		},
	}
}

// recordCalls sends one record after the other until each is acknowledged;
// after an interruption from the first that was not, and one acknowledged before again.
func (s *story) recordCalls(n int) *action {
	records := s.once(fmt.Sprintf("calls %d", n), 20)
	acknowledged := map[*house]int{}
	return &action{
		step: "record", name: fmt.Sprintf("records one by one %d", n), odds: 0.8,
		send: func(ctx context.Context, h *house) (func() error, error) {
			list, err := records(h)
			return func() error {
				for i := max(0, acknowledged[h]-1); i < len(list); i++ {
					status, answer, err := h.call(ctx, http.MethodPost, "/api/v1/records", list[i])
					if err != nil {
						return fmt.Errorf("%w: %w", errLost, err)
					}
					if status != http.StatusOK && status != http.StatusCreated {
						return fmt.Errorf("send record: status %d: %s", status, answer)
					}
					if i < acknowledged[h] && status != http.StatusOK {
						return fmt.Errorf("record %v was acknowledged, and is not known", list[i]["id"])
					}
					acknowledged[h] = max(acknowledged[h], i+1)
				}
				return nil
			}, err
		},
	}
}
