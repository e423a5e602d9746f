package storetest

import (
	"context"
	"slices"

	"limbround/scheduler"
)

// Packet reads one packet with its stops in order.
func (m *Memory) Packet(_ context.Context, id int64) (scheduler.Packet, error) {
	return m.read().packet(id)
}

func (s *state) packet(id int64) (scheduler.Packet, error) {
	p, ok := s.packets[id]
	if !ok {
		return p, scheduler.Errorf(scheduler.NotFound, "packet %d: there is none", id)
	}
	p.Stops = append([]scheduler.Stop{}, p.Stops...)
	sortBy(p.Stops, func(k *scheduler.Stop) []any { return []any{k.Seq} })
	return p, nil
}

// PacketList returns the packets of the days from..to, by day and crew.
func (m *Memory) PacketList(_ context.Context, from, to scheduler.Date, recalled bool) ([]scheduler.Packet, error) {
	s := m.read()
	out := []scheduler.Packet{}
	for id, p := range s.packets {
		if p.Day >= from && p.Day <= to && (recalled || p.State != scheduler.PacketRecalled) {
			p, _ := s.packet(id) // it is there
			out = append(out, p)
		}
	}
	sortBy(out, func(p *scheduler.Packet) []any { return []any{p.Day, p.CrewID, p.ID} })
	return out, nil
}

// take reads a packet for a change, and compares the edit counter.
func (s *state) take(id int64, revision int) (scheduler.Packet, error) {
	p, err := s.packet(id)
	if err == nil && p.Revision != revision {
		err = scheduler.Errorf(scheduler.Stale, "packet %d was changed since you read it", id)
	}
	return p, err
}

// SetPacketState moves a packet on.
func (m *Memory) SetPacketState(ctx context.Context, id int64, revision int, to scheduler.PacketState, by scheduler.Stamp) (p scheduler.Packet, err error) {
	err = m.write(ctx, func(s *state) error {
		if p, err = s.take(id, revision); err != nil {
			return err
		}
		if !p.State.May(to) {
			return scheduler.Errorf(scheduler.Clash, "packet %d is %s: it cannot become %s", id, p.State, to)
		}
		if to == scheduler.PacketIssued {
			if err := s.mayIssue(&p); err != nil {
				return err
			}
		}
		p.State = to
		p.Revision++
		s.packets[id] = p
		return signed(by)
	})
	p.Stops = slices.Clone(p.Stops)
	return p, err
}

// mayIssue refuses work for a crew that may not go out, and visits that are no
// longer to be made.
func (s *state) mayIssue(p *scheduler.Packet) error {
	it := s.items[p.CrewID]
	crew := s.crewOf(&it)
	if slices.Contains(crew.DaysOff, p.Day) {
		return scheduler.Errorf(scheduler.Clash, "%s is off on %s", crew.Name, p.Day)
	}
	if expired := crew.Expired(p.Day); len(expired) > 0 {
		return scheduler.Errorf(scheduler.Clash, "%s has an expired ticket on %s: %v", crew.Name, p.Day, expired)
	}
	for i := range p.Stops {
		v := s.visits[p.Stops[i].VisitID]
		if v.ID != 0 && p.Stops[i].State == scheduler.StopPlanned && (v.Progress != scheduler.Open || v.State == scheduler.Held) {
			return scheduler.Errorf(scheduler.Clash, "packet %d holds visit %d, which is completed, withdrawn or held", p.ID, v.ID)
		}
	}
	return nil
}

// EditPacket lets decide change a packet: the order, the times and the locks of
// its stops, and which of them stay.
func (m *Memory) EditPacket(ctx context.Context, id int64, revision int, decide func(*scheduler.Packet) error, by scheduler.Stamp) (p scheduler.Packet, err error) {
	err = m.write(ctx, func(s *state) error {
		if p, err = s.take(id, revision); err != nil {
			return err
		}
		before := s.packets[id]
		if err := decide(&p); err != nil {
			return err
		}
		after := before
		after.Minutes, after.Bound, after.Stops = p.Minutes, p.Bound, nil
		after.Minutes.Yard = before.Minutes.Yard
		after.Revision++
		for _, was := range before.Stops {
			if i := slices.IndexFunc(p.Stops, func(k scheduler.Stop) bool { return k.ID == was.ID }); i >= 0 {
				k := &p.Stops[i]
				was.Seq, was.Arrive, was.Drive, was.SetUp, was.Work, was.Locked = k.Seq, k.Arrive, k.Drive, k.SetUp, k.Work, k.Locked
				after.Stops = append(after.Stops, was)
			}
		}
		s.packets[id] = after
		p, err = s.packet(id)
		if err == nil {
			err = signed(by)
		}
		return err
	})
	return p, err
}
