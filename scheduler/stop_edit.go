package scheduler

// StopEdit is one change that a dispatcher makes to a stop of a packet; unset
// fields leave things as they are.
type StopEdit struct {
	To     int   `json:"to,omitempty"`     // place to move it to, from 1; 0 for none
	Locked *bool `json:"locked,omitempty"` // pin it or free it
	Remove bool  `json:"-"`                // take it out
}

// Apply makes the change to the packet, timing the day again by leg.
func (e StopEdit) Apply(p *Packet, stop int64, leg Leg) error {
	if e.Remove {
		return p.Remove(stop, leg)
	}
	if e.Locked != nil && !*e.Locked { // freed first, so that one edit can free and move
		if err := p.Lock(stop, false); err != nil {
			return err
		}
	}
	if e.To != 0 {
		if err := p.Move(stop, e.To, leg); err != nil {
			return err
		}
	}
	if e.Locked != nil && *e.Locked {
		return p.Lock(stop, true)
	}
	return nil
}
