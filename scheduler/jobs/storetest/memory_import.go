package storetest

import (
	"context"
	"iter"
	"slices"
	"strings"
	"unicode/utf8"

	"limbround/scheduler"
)

// batchRow is an import: its rows while it is staged, and what the last check
// found about them.
type batchRow struct {
	scheduler.Batch
	rows    []scheduler.Row
	judged  []judged
	checked int // batches of related layers applied and taken back by then, -1 before a check
}

// change is a row as it was before a batch changed it, oldest change first.
type change struct {
	batch, row int64
	before     any // item, siteRow or treeRow
}

// OpenBatch starts an import of a layer.
func (m *Memory) OpenBatch(ctx context.Context, layer, file string, by scheduler.Stamp) (id int64, err error) {
	err = m.write(ctx, func(s *state) error {
		if _, ok := scheduler.LayerNamed(layer); !ok {
			return scheduler.Errorf(scheduler.NotFound, "there is no layer %q", layer)
		}
		id = s.id()
		b := scheduler.Batch{ID: id, Layer: layer, File: file, Actor: by.Actor, State: "staged", Started: by.At}
		s.batches[id] = batchRow{Batch: b, checked: -1}
		return signed(by)
	})
	return id, err
}

// batch finds a batch that must be in the given state.
func (s *state) batch(id int64, want string) (batchRow, error) {
	b, ok := s.batches[id]
	if !ok {
		return b, scheduler.Errorf(scheduler.NotFound, "there is no batch %d", id)
	}
	if b.State != want {
		return b, scheduler.Errorf(scheduler.Clash, "batch %d is %s, not %s", id, b.State, want)
	}
	return b, nil
}

// Stage takes rows into the batch.
func (m *Memory) Stage(ctx context.Context, batch int64, layer scheduler.Layer, rows iter.Seq[scheduler.Row]) (n int64, err error) {
	var taken []scheduler.Row
	for row := range rows {
		for i, v := range row.Values {
			if text, ok := v.(string); ok && (!utf8.ValidString(text) || strings.ContainsRune(text, 0)) {
				return 0, &scheduler.Error{
					Kind: scheduler.Invalid, Message: "a row cannot be stored",
					Fields: []scheduler.Fault{{Line: row.Line, Field: layer.Fields[i].Name, Value: text, Rule: "text is UTF-8 without zero bytes"}},
				}
			}
		}
		taken = append(taken, row)
	}
	err = m.write(ctx, func(s *state) error {
		b, err := s.batch(batch, "staged")
		if err != nil {
			return err
		}
		if b.Layer != layer.Name {
			return scheduler.Errorf(scheduler.Clash, "batch %d takes rows of %s", batch, b.Layer)
		}
		b.rows = slices.Concat(b.rows, taken)
		s.batches[batch] = b
		return nil
	})
	return int64(len(taken)), err
}

// DiscardBatch drops a staged batch.
func (m *Memory) DiscardBatch(ctx context.Context, batch int64, by scheduler.Stamp) error {
	return m.write(ctx, func(s *state) error {
		if _, err := s.batch(batch, "staged"); err != nil {
			return err
		}
		delete(s.batches, batch)
		return signed(by)
	})
}

// HoldBatch writes the counts of its check to a staged batch.
func (m *Memory) HoldBatch(ctx context.Context, batch int64, n scheduler.BatchCounts, by scheduler.Stamp) error {
	return m.write(ctx, func(s *state) error {
		b := s.batches[batch]
		if b.State != "staged" || b.checked < 0 {
			return scheduler.Errorf(scheduler.Clash, "batch %d is not staged and checked", batch)
		}
		b.Counts = n
		s.batches[batch] = b
		return signed(by)
	})
}

// Batch returns one batch.
func (m *Memory) Batch(_ context.Context, id int64) (scheduler.Batch, error) {
	b, ok := m.read().batches[id]
	if !ok {
		return b.Batch, scheduler.Errorf(scheduler.NotFound, "there is no batch %d", id)
	}
	return b.Batch, nil
}

// ListBatches returns every batch, newest first.
func (m *Memory) ListBatches(context.Context) ([]scheduler.Batch, error) {
	var out []scheduler.Batch
	for _, b := range byID(m.read().batches, every) {
		out = append(out, b.Batch)
	}
	slices.Reverse(out)
	return out, nil
}

// related counts what was applied and taken back so far in the layers that the
// verdict on a row of this one hangs on.
func (s *state) related(layer string) int {
	needs := append([]string{layer}, map[string][]string{
		"crews": {"depots"}, "trees": {"districts", "history"}, "history": {"trees"},
	}[layer]...)
	n := 0
	for _, b := range s.batches {
		if slices.Contains(needs, b.Layer) && !b.Applied.IsZero() {
			n++
			if !b.Undone.IsZero() {
				n++
			}
		}
	}
	return n
}

// ApplyBatch moves a checked batch into the tables.
func (m *Memory) ApplyBatch(ctx context.Context, batch int64, layer scheduler.Layer, counts scheduler.BatchCounts, by scheduler.Stamp) error {
	return m.write(ctx, func(s *state) error {
		b, err := s.batch(batch, "staged")
		if err != nil {
			return err
		}
		if b.Layer != layer.Name || b.checked < 0 {
			return scheduler.Errorf(scheduler.Clash, "batch %d of layer %s has not been checked as %s", batch, b.Layer, layer.Name)
		}
		good := int64(0)
		for i := range b.judged {
			if b.judged[i].verdict != "fault" {
				good++
			}
		}
		if b.checked != s.related(layer.Name) || good != counts.Accepted {
			return scheduler.Errorf(scheduler.Stale, "batch %d is not what was checked", batch)
		}
		b.State, b.Applied, b.Actor, b.Counts = "applied", by.At, by.Actor, counts
		switch layer.Name {
		case "trees":
			s.applyTrees(batch, b.judged)
		case "history":
			s.applyHistory(&b)
		default:
			s.applyItems(batch, b.judged)
		}
		b.rows, b.judged = nil, nil
		s.batches[batch] = b
		return signed(by)
	})
}

func (s *state) applyItems(batch int64, rows []judged) {
	for i := range rows {
		it := rows[i].item
		switch rows[i].verdict {
		case "changed":
			s.changes = append(s.changes, change{batch, it.id, s.items[it.id]})
		case "new":
			it.id, it.batch, it.version = s.id(), batch, 1
			if it.layer == "streets" {
				it.left, it.right = s.id(), s.id()
			}
		default:
			continue
		}
		s.items[it.id] = it
	}
}

func every[T any](*T) bool { return true }
