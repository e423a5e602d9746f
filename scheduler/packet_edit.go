package scheduler

import (
	"fmt"
	"slices"
)

// Leg gives the minutes from one stop to the next: the drive, and the traffic
// set-up paid on arriving there. A nil prev is the depot in the morning, a nil
// next the depot at night (its set-up is not read).
type Leg func(prev, next *Stop) (drive, setUp int)

// Move puts a stop at place to (from 1) and times the day again. A locked stop
// does not move: its signs are posted. It fails with NotFound, Clash, or
// Infeasible when the day no longer fits the shift; the packet is then unchanged.
func (p *Packet) Move(stop int64, to int, leg Leg) error {
	i, err := p.editable(stop)
	if err != nil {
		return err
	}
	if to < 1 || to > len(p.Stops) {
		return Errorf(Invalid, "place %d: the packet has places 1 to %d", to, len(p.Stops))
	}
	stops := slices.Clone(p.Stops)
	s := stops[i]
	stops = slices.Insert(slices.Delete(stops, i, i+1), to-1, s)
	return p.retime(stops, leg)
}

// Remove takes a stop out and times the day again; its visit is open for
// another packet.
func (p *Packet) Remove(stop int64, leg Leg) error {
	i, err := p.editable(stop)
	if err != nil {
		return err
	}
	if err := p.retime(slices.Delete(slices.Clone(p.Stops), i, i+1), leg); err != nil {
		return err
	}
	p.Bound = 0 // it was proven for another set of visits
	return nil
}

// Lock pins a stop to its packet, or frees it.
func (p *Packet) Lock(stop int64, locked bool) error {
	i, err := p.stop(stop)
	if err != nil {
		return err
	}
	p.Stops[i].Locked = locked
	return nil
}

func (p *Packet) stop(id int64) (int, error) {
	if !p.State.Live() {
		return 0, Errorf(Clash, "packet %d is %s: it is not changed any more", p.ID, p.State)
	}
	i := slices.IndexFunc(p.Stops, func(s Stop) bool { return s.ID == id })
	if i < 0 {
		return 0, Errorf(NotFound, "packet %d has no stop %d", p.ID, id)
	}
	return i, nil
}

func (p *Packet) editable(id int64) (int, error) {
	i, err := p.stop(id)
	if err != nil {
		return 0, err
	}
	if s := &p.Stops[i]; s.State != StopPlanned {
		return 0, Errorf(Clash, "stop %d is %s: it is not moved any more", s.Seq, s.State)
	} else if s.Locked {
		e := Errorf(Clash, "stop %d is locked: its signs are posted or it was pinned", s.Seq)
		e.Hint = "unlock it first; posted signs then have to be posted again with their full lead time"
		return 0, e
	}
	return i, nil
}

// retime walks the day in its new order. The day begins when it began before
// and the shift stays what it was.
func (p *Packet) retime(stops []Stop, leg Leg) error {
	shift, start := p.Minutes.Paid()+p.Minutes.Slack, 0
	if len(p.Stops) > 0 {
		start = p.Stops[0].Arrive - p.Stops[0].Drive
	}
	m := Minutes{Yard: p.Minutes.Yard}
	now := start
	var prev *Stop
	for i := range stops {
		s := &stops[i]
		s.Seq = i + 1
		s.Drive, s.SetUp = leg(prev, s)
		s.Arrive = now + s.Drive
		now = s.Arrive + s.SetUp + s.Work
		m.Drive += s.Drive
		m.SetUp += s.SetUp
		switch s.Kind {
		case StopDump:
			m.Dump += s.Work
		case StopBreak:
			m.Break += s.Work
		default:
			m.Work += s.Work
		}
		prev = s
	}
	if prev != nil {
		home, _ := leg(prev, nil)
		m.Drive += home
	}
	m.Slack = shift - m.Paid()
	if m.Slack < 0 {
		return &Error{
			Kind: Infeasible, Message: fmt.Sprintf("packet %d: the day would be %d minutes too long", p.ID, -m.Slack),
			Hint: "take another stop out first, or move it to another day",
		}
	}
	p.Stops, p.Minutes = stops, m
	return nil
}
