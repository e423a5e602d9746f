package main

import (
	"context"
	"fmt"
	"hash/fnv"
	"path/filepath"
	"slices"
	"strconv"
	"time"
)

// story is what happens to a city: its first import, then rounds of changed
// files, due passes, plans, packets and records. It follows from the seed and the
// day alone, so that both installations live through the same.
type story struct {
	seed  uint64
	files files
	zone  string
	today time.Time // noon of the city's civil day
}

// layers are imported in this order: what others point at comes first.
var layers = []string{"districts", "sections", "streets", "walks", "wires", "signs", "depots", "dumps", "crews", "trees", "history"}

func newStory(ctx context.Context, c *chaos) (*story, error) {
	s := &story{seed: c.seed}
	s.zone, s.today = quietZone(time.Now())
	s.files = files{dir: filepath.Join(c.home, "city"), seed: c.seed, today: s.today}
	maker := &house{bin: c.bin, dir: c.home}
	_, err := maker.run("city", "make", "--trees", strconv.Itoa(c.trees), "--seed", strconv.FormatUint(c.seed, 10),
		"--as-of", s.day(-60), "--out", s.files.dir)
	if err != nil {
		return nil, fmt.Errorf("make city: %w", err)
	}
	return s, s.files.split()
}

// quietZone is a time zone in which it is four in the morning, after the nightly
// run and long before midnight: a run must not see the day change.
func quietZone(now time.Time) (name string, today time.Time) {
	west := now.UTC().Hour() - 4
	if west > 12 {
		west -= 24
	}
	zone := time.FixedZone("", -west*3600)
	local := now.In(zone)
	return fmt.Sprintf("Etc/GMT%+d", west), time.Date(local.Year(), local.Month(), local.Day(), 12, 0, 0, 0, zone)
}

// day is a date as text, some days from today.
func (s *story) day(from int) string { return s.today.AddDate(0, 0, from).Format(time.DateOnly) }

// monday is the Monday of a week, 1 for the next.
func (s *story) monday(week int) time.Time {
	since := (int(s.today.Weekday()) + 6) % 7
	return s.today.AddDate(0, 0, 7*week-since)
}

// chance is a number below n that follows from the seed and the words.
func chance(seed uint64, n int, words ...any) int {
	h := fnv.New64a()
	fmt.Fprintln(h, append([]any{seed}, words...)...)
	x := h.Sum64()
	x ^= x >> 33 // the low bits of FNV are weak
	return int(x * 0xff51afd7ed558ccd >> 33 % uint64(n))
}

// load is the first import of every layer, and the first run of the rules.
func (s *story) load() []*action {
	var list []*action
	for _, layer := range layers {
		a := s.imports(layer, s.files.first(layer))
		a.odds = 0.15
		if slices.Contains([]string{"streets", "trees", "history"}, layer) {
			a.odds = 0.6
		}
		list = append(list, a)
	}
	return append(list, s.due(0, false))
}

// round is one turn of the loop.
func (s *story) round(n int) ([]*action, error) {
	list, err := s.changes(n)
	if err != nil {
		return nil, err
	}
	list = append(list, s.due(n, n%2 == 0), s.due(n, n%2 == 1))
	plan, job := s.plan(n)
	list = append(list, plan, job, s.adopt(n))
	list = append(list, s.packets(n, n%2 == 0), s.packets(n, n%2 == 1))
	for i := range 2 {
		list = append(list, s.issue(n, i))
	}
	return append(list, s.recordFile(n), s.recordCalls(n)), nil
}

// changes are the imports of one round: changed trees, new trees that are
// taken back and brought in again, changed ground, and the past of the new trees.
func (s *story) changes(n int) ([]*action, error) {
	file, err := s.files.changedTrees(n)
	if err != nil {
		return nil, err
	}
	ground := []string{"streets", "signs", "crews"}[n%3]
	changed, err := s.files.changedGround(ground, n)
	if err != nil {
		return nil, err
	}
	part := s.files.part(n)
	list := []*action{s.imports("trees", file)}
	if part != "" {
		list = append(list, s.imports("trees", part), s.undo(part), s.imports("trees", part))
	}
	list = append(list, s.imports(ground, changed), s.undo(changed))
	return append(list, s.imports("history", s.files.first("history"))), nil
}

func (s *story) imports(layer, file string) *action {
	return &action{
		step: "import", name: "import " + layer + " " + filepath.Base(file), odds: 0.5,
		args: func(h *house) ([]string, error) {
			return []string{"import", layer, file, "--rejects", filepath.Join(h.dir, "rejects.csv")}, nil
		},
	}
}

// undo takes the newest import of a file back.
func (s *story) undo(file string) *action {
	newest := fmt.Sprintf(`SELECT id, state FROM batch WHERE file = '%s' AND state <> 'staged' ORDER BY state = 'applied' AND accepted > unchanged DESC, id DESC LIMIT 1`, filepath.Base(file))
	return &action{
		step: "import", name: "undo " + filepath.Base(file), odds: 0.5,
		args: func(h *house) ([]string, error) {
			rows, err := h.sql("-c", newest)
			if err != nil || len(rows) != 1 {
				return nil, fmt.Errorf("find the import of %s: %d found, %w", file, len(rows), err)
			}
			return []string{"import", "undo", rows[0][0]}, nil
		},
		settled: func(h *house) (bool, error) {
			rows, err := h.sql("-c", newest)
			return err == nil && len(rows) == 1 && rows[0][1] == "undone", err
		},
	}
}

func (s *story) due(n int, asJob bool) *action {
	a := &action{step: "due", name: fmt.Sprintf("due %d", n), odds: 0.75}
	if asJob {
		a.name += " as a job"
		a.path, a.body = "/api/v1/due-passes", map[string]any{}
		return a
	}
	a.args = func(*house) ([]string, error) { return []string{"due"}, nil }
	return a
}
