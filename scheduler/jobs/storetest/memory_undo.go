package storetest

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"limbround/scheduler"
)

// UndoBatch takes an applied batch back, row for row.
func (m *Memory) UndoBatch(ctx context.Context, batch int64, by scheduler.Stamp) (out scheduler.UndoResult, err error) {
	err = m.write(ctx, func(s *state) error {
		b, err := s.batch(batch, "applied")
		if err != nil {
			return err
		}
		if found := s.restsOn(batch); len(found) > 0 {
			var words []string
			for _, what := range slices.Sorted(maps.Keys(found)) {
				words = append(words, fmt.Sprintf("%d %s", len(found[what]), what))
			}
			return scheduler.Errorf(scheduler.Clash, "batch %d of %s cannot be taken back: rows in use: %s", batch, b.Layer, strings.Join(words, "; "))
		}
		out = scheduler.UndoResult{Batch: batch, Layer: b.Layer, Removed: s.removeMade(batch)}
		for _, c := range s.changes {
			if c.batch != batch {
				continue
			}
			out.Restored++
			switch row := c.before.(type) {
			case item:
				s.items[c.row] = row
			case siteRow:
				s.sites[c.row] = row
			case treeRow:
				s.trees[c.row] = row
				delete(s.bases, c.row)
			}
		}
		s.changes = slices.DeleteFunc(s.changes, func(c change) bool { return c.batch == batch })
		b.State, b.Undone = "undone", by.At
		s.batches[batch] = b
		return signed(by)
	})
	return out, err
}

// removeMade takes out the rows that a batch made, and says how many of them are
// the layer's own: sites and measurements go with their trees.
func (s *state) removeMade(batch int64) int {
	before := len(s.items) + len(s.trees) + len(s.records)
	maps.DeleteFunc(s.items, func(_ int64, it item) bool { return it.batch == batch })
	maps.DeleteFunc(s.visits, func(_ int64, v visitRow) bool { return s.trees[v.TreeID].batch == batch })
	maps.DeleteFunc(s.trees, func(_ int64, t treeRow) bool { return t.batch == batch })
	maps.DeleteFunc(s.sites, func(_ int64, t siteRow) bool { return t.batch == batch })
	s.measures = slices.DeleteFunc(s.measures, func(x measureRow) bool { return x.batch == batch })
	s.records = slices.DeleteFunc(s.records, func(r recordRow) bool {
		if r.batch == batch {
			delete(s.keys, r.Record.ID)
		}
		return r.batch == batch
	})
	return before - len(s.items) - len(s.trees) - len(s.records)
}

// restsOn is what stands in the way of taking a batch back: by kind, the rows.
func (s *state) restsOn(batch int64) map[string]map[int64]bool {
	found := map[string]map[int64]bool{}
	note := func(what string, row int64) {
		if found[what] == nil {
			found[what] = map[int64]bool{}
		}
		found[what][row] = true
	}
	for i, c := range s.changes {
		made := s.items[c.row].batch == batch || s.trees[c.row].batch == batch || s.sites[c.row].batch == batch
		if c.batch != batch && made {
			note("changed by a later import", c.row)
		}
		for _, later := range s.changes[i+1:] {
			if c.batch == batch && later.batch != batch && later.row == c.row {
				note("changed again by a later import", c.row)
			}
		}
		if before, ok := c.before.(treeRow); ok && c.batch == batch && s.trees[c.row].revision != before.revision+1 {
			note("edited since", c.row)
		}
	}
	s.groundInUse(batch, note)
	s.treesInUse(batch, note)
	return found
}

func (s *state) groundInUse(batch int64, note func(string, int64)) {
	for _, it := range s.layer("crews") {
		if depot := s.crewOf(&it).DepotID; s.items[depot].batch == batch {
			note("with a crew that starts there", it.id)
		}
	}
	for _, p := range s.packets {
		if s.items[p.CrewID].batch == batch {
			note("with a packet", p.ID)
		}
		for _, stop := range p.Stops {
			if stop.DumpID != 0 && s.items[stop.DumpID].batch == batch {
				note("with a stop of a packet", stop.ID)
			}
			if stop.VisitID != 0 && s.trees[s.visits[stop.VisitID].TreeID].batch == batch {
				note("with a stop of a packet", s.visits[stop.VisitID].TreeID)
			}
		}
	}
	for _, r := range s.records {
		if r.Record.CrewID != 0 && s.items[r.Record.CrewID].batch == batch {
			note("with a work record", r.Record.CrewID)
		}
	}
}

func (s *state) treesInUse(batch int64, note func(string, int64)) {
	about := func(what string, tree int64) {
		if s.trees[tree].batch == batch {
			note(what, tree)
		}
	}
	for _, t := range s.trees {
		if s.sites[t.SiteID].batch == batch && t.batch != batch {
			note("on a site of this import, from a later one", t.ID)
		}
		if t.revision != 1 {
			about("edited since", t.ID)
		}
	}
	for _, r := range s.records {
		about("with a work record", r.Record.TreeID)
	}
	for _, p := range s.plans {
		for _, l := range p.Lines {
			about("in an annual plan", s.visits[l.VisitID].TreeID)
		}
	}
	for _, v := range s.visits {
		if v.Origin != scheduler.FromRules || v.Progress == scheduler.Completed {
			about("with a visit that the rules did not make", v.TreeID)
		}
	}
	for _, w := range s.watch {
		about("with a watch item", w.TreeID)
	}
	for _, x := range s.measures {
		if x.batch != batch {
			about("with a later measurement", x.tree)
		}
	}
	for _, h := range s.hazards {
		about("with a hazard", h.tree)
		if i := slices.IndexFunc(s.records, func(r recordRow) bool { return r.Record.ID == h.record }); i >= 0 && s.records[i].batch == batch {
			note("with a hazard seen on the visit", h.tree)
		}
	}
}
