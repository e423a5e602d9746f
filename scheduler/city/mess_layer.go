package city

import (
	"fmt"
	"iter"

	"limbround/geo"
	"limbround/scheduler"
)

// spoil appends a few faulty rows to a layer of a messy city. They are extra
// rows: the network and the crews stay whole without them.
func (c *City) spoil(layer string, rows iter.Seq[Entry]) iter.Seq[Entry] {
	if !c.req.Messy {
		return rows
	}
	return func(yield func(Entry) bool) {
		for e := range rows {
			if !yield(e) {
				return
			}
		}
		for _, e := range c.extraRows(layer) {
			if !yield(e) {
				return
			}
		}
	}
}

// extraRows are the faulty rows of one layer.
func (c *City) extraRows(layer string) []Entry {
	at := func(x, y float64) geo.Point { return c.lonLat(c.special.place.p.Add(geo.Point{X: x, Y: y})) }
	line := geo.NewLine(4326, []geo.Point{at(3, 3), at(9, 40)})
	row := func(shape geo.Shape, field, value, kind string, values ...any) Entry {
		ref, _ := values[0].(string)
		return Entry{
			Row:    scheduler.Row{Values: values, Shape: shape},
			Faults: []Fault{{Ref: ref, Field: field, Value: value, Kind: kind, Expect: Rejected}},
		}
	}
	switch layer {
	case "streets":
		street := func(ref, class string) []any {
			return []any{ref, "Nowhere Lane", class, "no", int64(40), geo.Length(9000), int64(2), "none", false, false, false, nil, nil}
		}
		return []Entry{
			row(line, "class", "boulevard", "unknown_word", street("S-BAD1", "boulevard")...),
			row(line, "class", "", "missing_required", street("S-BAD2", "")...),
			row(geo.NewLine(4326, []geo.Point{at(3, 3), at(3.2, 3.1)}), "position", "", "too_short", street("S-BAD3", "residential")...),
		}
	case "walks":
		return []Entry{row(line, "width_mm", "0.2", "out_of_range", "K-BAD1", geo.Length(200))}
	case "wires":
		return []Entry{
			row(line, "height_mm", "95", "out_of_range", "W-BAD1", "primary", int64(7200), geo.Length(95000)),
			row(line, "class", "medium", "unknown_word", "W-BAD2", "medium", nil, geo.Length(9000)),
		}
	case "signs":
		return []Entry{row(geo.NewPoint(4326, at(4, 2)), "kind", "beacon", "unknown_word", "G-BAD1", "beacon", geo.Length(3000))}
	case "depots":
		return []Entry{row(geo.NewPoint(4326, at(60, 60)), "name", "", "missing_required", "Y-BAD1", nil)}
	case "crews":
		crew := func(ref, depot, skills, tickets string) []any {
			return []any{ref, "Crew " + ref, depot, int64(2), skills, int64(6000), nil, nil, int64(420), int64(480), int64(45), int64(30), int64(31), nil, tickets}
		}
		return []Entry{
			row(geo.Shape{}, "depot_ref", "Y99", "unknown_depot", crew("C-BAD1", "Y99", "ground", "")...),
			row(geo.Shape{}, "skills", "ground flying", "unknown_word", crew("C-BAD2", "Y1", "ground flying", "")...),
			row(geo.Shape{}, "tickets", "first aid", "bad_ticket", crew("C-BAD3", "Y1", "ground", "first aid")...),
		}
	}
	return nil
}

// pastFaults are faulty rows among the history of one tree: a visit to a tree
// that nobody knows, one before the tree was planted, an impossible day, or
// an unknown kind of work.
func (m *mess) pastFaults(s *Stand) []Entry {
	if !chance(m.r, 0.01) {
		return nil
	}
	ref, _ := s.Tree.Row.Values[fieldRef].(string)
	one := visit{on: m.c.req.Today.AddDays(-200 - m.r.IntN(200)), kind: scheduler.Inspection, sides: sides{road: 2, walk: 2}}
	e := m.c.visitRow(m.r, &s.life, ref, one)
	m.extras++
	hist := fmt.Sprintf("HX%05d", m.extras)
	e.Row.Values[0] = hist
	fault := func(column int, field string, value any, kind string) []Entry {
		e.Row.Values[column] = value
		e.Faults = []Fault{{Ref: hist, Field: field, Value: fmt.Sprint(value), Kind: kind, Expect: Rejected}}
		return []Entry{e}
	}
	switch m.r.IntN(4) {
	case 0:
		return fault(1, "tree_ref", fmt.Sprintf("PL-9%07d", m.extras), "unknown_tree")
	case 1:
		if len(s.life.record) == len("2006-01-02") && s.life.record[4] == '-' {
			return fault(2, "done_on", dateBefore(s.life.planted, m.r), "before_planting")
		}
		return fault(2, "done_on", "2022-11-31", "impossible_date")
	case 2:
		return fault(2, "done_on", "2022-11-31", "impossible_date")
	}
	return fault(3, "kind", "topping", "unknown_word")
}
