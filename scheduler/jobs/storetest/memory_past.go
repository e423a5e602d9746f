package storetest

import "limbround/scheduler"

// base is a tree's facts before its records, but for those it holds already.
type base struct {
	tree scheduler.Tree
	held map[string]bool
}

// readPast returns the facts that a tree's records are read over, and those
// records. A tree without a base gets its facts of now.
func (s *state) readPast(tree scheduler.Tree) (scheduler.Tree, []scheduler.PastRecord) {
	b, there := s.bases[tree.ID]
	if !there {
		b = base{tree: tree, held: map[string]bool{}}
	}
	var past []scheduler.PastRecord
	for _, r := range s.records {
		if r.Record.TreeID != tree.ID || r.batch != 0 {
			continue
		}
		if !there {
			b.held[r.Record.ID] = true
		}
		past = append(past, scheduler.PastRecord{
			Record: r.Record, On: r.DoneOn, Lead: s.visits[r.Record.VisitID].Kind, InBase: b.held[r.Record.ID],
		})
	}
	s.bases[tree.ID] = b
	return b.tree, past
}
