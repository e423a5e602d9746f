package main

import (
	"context"
	"fmt"
	"strconv"
	"sync"
	"time"
)

// planYear is the year whose plan the next weeks belong to: a week is of the
// year of its Thursday.
func (s *story) planYear() int { return s.monday(1).AddDate(0, 0, 3).Year() }

// plan makes a draft on the command line and, for the next year, as a job.
func (s *story) plan(n int) (command, job *action) {
	command = &action{
		step: "plan", name: fmt.Sprintf("plan %d", n), odds: 0.75,
		args: func(*house) ([]string, error) {
			return []string{"year", "plan", "--year", strconv.Itoa(s.planYear())}, nil
		},
	}
	job = &action{
		step: "plan", name: fmt.Sprintf("plan %d as a job", n), odds: 0.75,
		path: "/api/v1/plans", body: map[string]any{"year": s.planYear() + 1},
	}
	return command, job
}

// adopt adopts the newest draft.
func (s *story) adopt(n int) *action {
	newest := fmt.Sprintf(`SELECT id, revision, state FROM plan WHERE year = %d ORDER BY version DESC LIMIT 1`, s.planYear())
	return &action{
		step: "plan", name: fmt.Sprintf("adopt %d", n), odds: 0.5,
		args: func(h *house) ([]string, error) {
			rows, err := h.sql("-c", newest)
			if err != nil || len(rows) != 1 {
				return nil, fmt.Errorf("find the newest plan: %d found, %w", len(rows), err)
			}
			return []string{"year", "adopt", rows[0][0], "--revision", rows[0][1]}, nil
		},
		settled: func(h *house) (bool, error) {
			rows, err := h.sql("-c", newest)
			return err == nil && len(rows) == 1 && rows[0][2] == "adopted", err
		},
	}
}

// packets builds the packets of one of three weeks.
func (s *story) packets(n int, asJob bool) *action {
	from := s.monday(1 + n%3).Format(time.DateOnly)
	a := &action{step: "packets", name: "packets from " + from, odds: 0.75}
	if asJob {
		a.name += " as a job"
		a.path, a.body = "/api/v1/packets", map[string]any{"from": from, "days": 2}
		return a
	}
	a.args = func(*house) ([]string, error) {
		return []string{"packets", "build", "--from", from, "--days", "2"}, nil
	}
	return a
}

// issue issues a draft of the week. Which one is settled by the first look, by
// crew and day; each house numbers its packets itself.
func (s *story) issue(n, i int) *action {
	from := s.monday(1 + n%3).Format(time.DateOnly)
	var mu sync.Mutex
	chosen := map[*house][]string{} // day, crew
	find := func(h *house) (row []string, err error) {
		mu.Lock()
		defer mu.Unlock()
		if chosen[h] == nil {
			rows, err := h.sql("-c", fmt.Sprintf(`SELECT p.day, c.ref FROM packet p JOIN crew c ON c.id = p.crew_id
				WHERE p.state = 'draft' AND p.day >= '%s' ORDER BY p.day, c.ref LIMIT 1`, from))
			if err != nil {
				return nil, fmt.Errorf("find a draft: %w", err)
			}
			if len(rows) == 0 {
				return nil, fmt.Errorf("find a draft from %s on: there is none", from)
			}
			chosen[h] = rows[0]
		}
		rows, err := h.sql("-c", fmt.Sprintf(`SELECT p.id, p.revision, p.state FROM packet p JOIN crew c ON c.id = p.crew_id
			WHERE p.state <> 'recalled' AND p.day = '%s' AND c.ref = '%s'
			ORDER BY p.id DESC LIMIT 1`, chosen[h][0], chosen[h][1])) // one of an earlier round may be completed
		if err != nil {
			return nil, fmt.Errorf("find the packet of %v: %w", chosen[h], err)
		}
		if len(rows) == 0 {
			return nil, fmt.Errorf("find the packet of %v: there is none", chosen[h])
		}
		return rows[0], nil
	}
	return &action{
		step: "packets", name: fmt.Sprintf("issue %d.%d", n, i), odds: 0.5,
		args: func(h *house) ([]string, error) {
			row, err := find(h)
			if err != nil {
				return nil, err
			}
			return []string{"packets", "issue", row[0], "--revision", row[1]}, nil
		},
		settled: func(h *house) (bool, error) {
			row, err := find(h)
			return err == nil && row[2] != "draft", err
		},
	}
}

// sweep ends the run: what killed imports left behind is made a day older, and
// the next import must clear it away.
func (c *chaos) sweep(ctx context.Context, s *story) error {
	if _, err := c.victim.sql("-c", `UPDATE batch SET started_at = started_at - interval '2 days' WHERE state = 'staged'`); err != nil {
		return err
	}
	if err := c.round(ctx, []*action{s.imports("crews", s.files.first("crews"))}); err != nil {
		return err
	}
	rows, err := c.victim.sql("-c", `SELECT id, layer FROM batch WHERE state = 'staged'`)
	for _, r := range rows {
		c.violated(&action{step: "round", name: "sweep"}, "none", "batch_left_staged", "batch "+r[0]+" of "+r[1])
	}
	return err
}
