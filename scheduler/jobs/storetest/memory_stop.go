package storetest

import (
	"context"
	"slices"

	"limbround/scheduler"
)

// finishStops moves the stops of the visit that a record names, and finishes
// those of a completed visit in every live packet. The first finished
// stop starts an issued packet, the last one completes it.
func (s *state) finishStops(in *scheduler.RecordInput, out *scheduler.RecordOutcome) {
	for id, p := range s.packets {
		p.Stops = slices.Clone(p.Stops)
		touched, left := false, false
		for i := range p.Stops {
			k := &p.Stops[i]
			became := k.State
			if k.VisitID != 0 && k.VisitID == in.Record.VisitID {
				became = in.StopState(&scheduler.StopAt{ID: k.ID, PacketID: p.ID, Day: p.Day, State: k.State, Live: live(&p, k)})
			}
			if became == scheduler.StopPlanned && live(&p, k) && slices.Contains(out.Closes, k.VisitID) {
				became = scheduler.StopDone
			}
			touched = touched || became != k.State
			k.State = became
			left = left || k.Kind == scheduler.StopTree && k.State == scheduler.StopPlanned
		}
		if !touched {
			continue
		}
		switch {
		case (p.State == scheduler.PacketIssued || p.State == scheduler.PacketStarted) && !left:
			p.State = scheduler.PacketCompleted
		case p.State == scheduler.PacketIssued:
			p.State = scheduler.PacketStarted
		}
		p.Revision++
		s.packets[id] = p
	}
}

// RecordsOfTree returns a tree's work records, newest first.
func (m *Memory) RecordsOfTree(_ context.Context, tree int64) ([]scheduler.WorkEntry, error) {
	var out []scheduler.WorkEntry
	for _, r := range m.read().records {
		if r.Record.TreeID == tree {
			out = append(out, r.WorkEntry)
		}
	}
	sortBy(out, func(e *scheduler.WorkEntry) []any { return []any{-int(e.DoneOn), -e.Record.Finish.Unix(), e.Record.ID} })
	return out, nil
}

// MeasurementsOfTree returns what was measured on a tree, newest first.
func (m *Memory) MeasurementsOfTree(_ context.Context, tree int64) ([]scheduler.Measurement, error) {
	var rows []measureRow
	for _, x := range m.read().measures {
		if x.tree == tree {
			rows = append(rows, x)
		}
	}
	sortBy(rows, func(x *measureRow) []any { return []any{-int(x.On), -x.id} })
	var out []scheduler.Measurement
	for _, x := range rows {
		out = append(out, x.Measurement)
	}
	return out, nil
}
