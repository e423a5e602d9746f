package crewday

import (
	"cmp"
	"slices"

	"limbround/scheduler"
	"limbround/scheduler/route"
)

// packets writes the result: one packet for each route.
func (b *build) packets(solved *route.Result) Result {
	var out Result
	type keyed struct {
		p        scheduler.Packet
		class    int
		deadline scheduler.Date
	}
	var list []keyed
	for i := range solved.Routes {
		k := keyed{p: b.packet(&solved.Routes[i]), class: classes, deadline: 1 << 30}
		for _, s := range solved.Routes[i].Steps {
			if s.Stop >= 0 {
				v := b.visit(s.Stop)
				if d := deadline(v); v.Class < k.class || v.Class == k.class && d < k.deadline {
					k.class, k.deadline = v.Class, d
				}
			}
		}
		list = append(list, k)
	}
	slices.SortFunc(list, func(x, y keyed) int {
		return cmp.Or(cmp.Compare(x.p.Day, y.p.Day), cmp.Compare(x.class, y.class),
			cmp.Compare(x.deadline, y.deadline), cmp.Compare(x.p.CrewID, y.p.CrewID))
	})
	for _, k := range list {
		out.Packets = append(out.Packets, k.p)
		out.Minutes = sum(out.Minutes, k.p.Minutes)
	}
	for _, u := range solved.Unserved {
		b.leaveOut(b.jobs[u.Stop], "%s", b.reason(u))
	}
	out.Unserved = b.leftOut()
	out.Bound = wholeMinutes(int(solved.Bound))
	return out
}

func (b *build) visit(stop int) *scheduler.Visit { return &b.r.Jobs[b.jobs[stop]].Visit }

// packet writes one crew-day. The clock of the packet shows whole minutes: every
// arrival is rounded up, so that driving minutes add up and no day grows.
func (b *build) packet(r *route.Route) scheduler.Packet {
	slot := b.fleet.slots[r.Vehicle]
	c := slot.crew
	p := scheduler.Packet{
		Day: slot.day, CrewID: c.ID, State: scheduler.PacketDraft,
		Minutes: scheduler.Minutes{Yard: c.YardMin, Break: c.BreakMin},
	}
	now := leaves(c)
	middle := now + productive(c)/2
	rested := 0 // minutes of break taken: later arrivals move by so much
	rest := func() {
		if c.BreakMin > 0 {
			p.Stops = append(p.Stops, scheduler.Stop{Kind: scheduler.StopBreak, Arrive: now, Work: c.BreakMin})
			now += c.BreakMin
		}
		rested = c.BreakMin
	}
	taken := false
	for _, s := range r.Steps {
		if arrive := wholeMinutes(s.Arrive); !taken && arrive > middle && len(p.Stops) > 0 {
			rest()
			taken = true
		}
		arrive := wholeMinutes(s.Arrive) + rested
		stop := scheduler.Stop{
			Kind: scheduler.StopTree, Arrive: arrive, Drive: arrive - now, SetUp: s.SetUp / 60, Work: s.Work / 60,
		}
		if s.Stop >= 0 {
			stop.VisitID = b.visit(s.Stop).ID
			stop.Locked = b.r.Jobs[b.jobs[s.Stop]].Lock != (scheduler.CrewDay{})
			p.Minutes.Work += stop.Work
		} else {
			stop.Kind, stop.DumpID = scheduler.StopDump, b.dump(s.Dump)
			p.Minutes.Dump += stop.Work
		}
		p.Minutes.Drive += stop.Drive
		p.Minutes.SetUp += stop.SetUp
		p.Stops = append(p.Stops, stop)
		now = arrive + stop.SetUp + stop.Work
	}
	if !taken {
		rest()
	}
	p.Minutes.Drive += wholeMinutes(r.Finish) + rested - now
	p.Minutes.Slack = c.ShiftMin - p.Minutes.Paid()
	for i := range p.Stops {
		p.Stops[i].Seq, p.Stops[i].State = i+1, scheduler.StopPlanned
	}
	p.Bound = b.dayBound(r)
	return p
}

// dump is the id of the problem's dump k.
func (b *build) dump(k int) int64 {
	for i, d := range b.r.Dumps {
		if b.dumpPlace(i) < 0 {
			continue
		}
		if k == 0 {
			return d.ID
		}
		k--
	}
	return 0
}

// dayBound is the least paid minutes of any one day of this crew that makes the
// same visits.
func (b *build) dayBound(r *route.Route) int {
	day := b.problem
	day.Vehicles = b.problem.Vehicles[r.Vehicle : r.Vehicle+1]
	day.Travel = b.problem.Travel[day.Vehicles[0].Profile:][:1]
	vehicle := day.Vehicles[0]
	vehicle.Profile = 0
	day.Vehicles = []route.Vehicle{vehicle}
	day.Stops = nil
	var served []bool
	for _, s := range r.Steps {
		if s.Stop >= 0 {
			day.Stops = append(day.Stops, b.problem.Stops[s.Stop])
			served = append(served, true)
		}
	}
	return wholeMinutes(int(route.Bound(&day, served)))
}

// wholeMinutes rounds seconds up.
func wholeMinutes(s int) int { return (s + 59) / 60 }

func sum(a, b scheduler.Minutes) scheduler.Minutes {
	a.Yard += b.Yard
	a.Drive += b.Drive
	a.SetUp += b.SetUp
	a.Work += b.Work
	a.Dump += b.Dump
	a.Break += b.Break
	a.Slack += b.Slack
	return a
}
