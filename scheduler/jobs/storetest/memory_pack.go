package storetest

import (
	"context"
	"slices"

	"limbround/scheduler"
)

// PackInput returns the visits that packets may take, and the crew-days that are taken.
func (m *Memory) PackInput(_ context.Context, plan int64, from, to scheduler.Date, replace bool) (scheduler.PackInput, error) {
	s := m.read()
	var in scheduler.PackInput
	goes := func(p *scheduler.Packet) bool { return replace && s.replaceable(p, from, to) }
	for _, p := range byID(s.packets, every) {
		if p.State.Live() && p.Day >= from && p.Day <= to && !goes(&p) {
			in.Busy = append(in.Busy, scheduler.CrewDay{CrewID: p.CrewID, Day: p.Day})
		}
	}
	sortBy(in.Busy, func(c *scheduler.CrewDay) []any { return []any{c.Day, c.CrewID} })
	lines := map[int64]scheduler.PlanLine{}
	for _, l := range s.plans[plan].Lines {
		lines[l.VisitID] = l
	}
	for _, v := range byID(s.visits, every) {
		line, judged := lines[v.ID]
		planned := !line.Week.IsZero() && line.Week <= to
		urgent := v.Window.Earliest <= to && (v.Class <= 1 || v.Class == 2 && !judged)
		if v.Progress != scheduler.Open || v.State == scheduler.Held || v.State == scheduler.NotOurs || !planned && !urgent {
			continue
		}
		if p := s.liveStop(v.ID); p != nil && !goes(p) {
			continue
		}
		site, species := s.siteOf(v.SiteID), s.trees[v.TreeID].Species
		in.Items = append(in.Items, scheduler.PackItem{
			Visit: v.Visit, Site: site.Site, Along: site.along, Species: species, Sanitation: s.species[species].Sanitation, Week: line.Week,
		})
	}
	sortBy(in.Items, func(it *scheduler.PackItem) []any {
		return []any{it.Visit.Class, noneFirst(it.Week), it.Visit.Window.Latest, -it.Visit.Score, it.Visit.ID}
	})
	return in, nil
}

// liveStop is the live packet in which people are about to make the visit.
func (s *state) liveStop(visit int64) *scheduler.Packet {
	for _, p := range s.packets {
		for i := range p.Stops {
			if p.Stops[i].VisitID == visit && live(&p, &p.Stops[i]) {
				return &p
			}
		}
	}
	return nil
}

// live reports whether a stop holds its visit: it lies ahead, in a live packet.
func live(p *scheduler.Packet, s *scheduler.Stop) bool {
	return p.State.Live() && s.State == scheduler.StopPlanned && s.VisitID != 0
}

// replaceable reports whether the packet is a draft of those days to which nobody is bound.
func (s *state) replaceable(p *scheduler.Packet, from, to scheduler.Date) bool {
	return p.State == scheduler.PacketDraft && p.Day >= from && p.Day <= to &&
		!slices.ContainsFunc(p.Stops, func(k scheduler.Stop) bool { return k.Locked || k.State != scheduler.StopPlanned })
}

// SavePackets stores new packets as drafts, all or none.
func (m *Memory) SavePackets(ctx context.Context, packets []scheduler.Packet, from, to scheduler.Date, replace bool, by scheduler.Stamp) ([]scheduler.Packet, error) {
	saved := make([]scheduler.Packet, len(packets))
	err := m.write(ctx, func(s *state) error {
		for _, p := range byID(s.packets, func(p *scheduler.Packet) bool { return replace && s.replaceable(p, from, to) }) {
			p.State = scheduler.PacketRecalled
			p.Revision++
			s.packets[p.ID] = p
		}
		for i := range packets {
			p := packets[i]
			p.ID, p.State, p.Revision, p.Stops = s.id(), scheduler.PacketDraft, 1, slices.Clone(p.Stops)
			for j := range p.Stops {
				p.Stops[j].ID, p.Stops[j].State = s.id(), scheduler.StopPlanned
				if v := s.visits[p.Stops[j].VisitID]; v.ID != 0 && v.Progress != scheduler.Open {
					return scheduler.Errorf(scheduler.Clash, "visit %d is %s: it cannot be packed any more", v.ID, v.Progress)
				}
			}
			s.packets[p.ID] = p
			saved[i] = p
			saved[i].Stops = slices.Clone(p.Stops)
			if err := signed(by); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return saved, nil
}
