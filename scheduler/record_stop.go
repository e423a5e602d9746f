package scheduler

// StopAt is a stop of a visit that a record is about.
type StopAt struct {
	ID       int64
	PacketID int64
	Day      Date // of its packet
	State    StopState
	Live     bool
}

// StopState returns what the tree's records, with this one among them, make of
// a stop of the visit that it names. The newest that names both visit and
// packet decides. Where none does, the first that names the visit without a packet
// speaks for a stop that nobody took out of people's hands, provided that the
// work was done or that it was tried on the packet's day or later.
func (in *RecordInput) StopState(s *StopAt) StopState {
	this := in.past()
	var own, other *PastRecord
	for i := range len(in.Past) + 1 {
		p := &this
		if i < len(in.Past) {
			p = &in.Past[i]
		}
		switch r := &p.Record; {
		case r.VisitID != this.Record.VisitID:
		case r.PacketID == s.PacketID:
			if own == nil || p.compare(own) > 0 {
				own = p
			}
		case r.PacketID == 0 && (r.Outcome == OutcomeDone || p.On >= s.Day):
			if other == nil || p.compare(other) < 0 {
				other = p
			}
		}
	}
	switch {
	case own != nil:
		return own.Record.Outcome.stop()
	case other != nil && (s.Live || s.State != StopPlanned):
		return other.Record.Outcome.stop()
	}
	return s.State
}

func (o Outcome) stop() StopState {
	switch o {
	case OutcomeDone:
		return StopDone
	case OutcomePart:
		return StopPart
	}
	return StopNotDone
}
