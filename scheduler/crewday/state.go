package crewday

import (
	"slices"
	"strings"

	"limbround/scheduler"
	"limbround/scheduler/route"
)

// The skill bits of the routing problem.
const (
	needsLift uint32 = 1 << iota
	needsLine
	needsTwo // people
)

// maxDumps is one less than the router's mask holds: its last bit stands for "no
// dump".
const maxDumps = 63

// state writes the routing problem: a stop for each job, a vehicle for each
// crew-day.
func (b *build) state() {
	p := &b.problem
	p.Metric = true
	p.Places, p.Travel = len(b.ground.places), b.ground.travel
	slots := map[scheduler.CrewDay]int{}
	for i, s := range b.fleet.slots {
		slots[scheduler.CrewDay{CrewID: s.crew.ID, Day: s.day}] = i
		p.Vehicles = append(p.Vehicles, b.vehicle(s))
	}
	for i, d := range b.r.Dumps {
		if at := b.dumpPlace(i); at >= 0 && len(p.Dumps) < maxDumps {
			p.Dumps = append(p.Dumps, route.Dump{Place: at, Seconds: 60 * d.Minutes})
		}
	}
	b.keepLocks(slots)
	worth := b.worth()
	for k, i := range b.jobs {
		j := &b.r.Jobs[i]
		v := &j.Visit
		s := route.Stop{
			Place: b.ground.place[k], Group: b.ground.group[k], Pos: b.ground.pos[k],
			Service: 60 * v.Minutes, SetUp: 60 * b.r.Work.SetUpFor(v, j.Site.StreetClass),
			Demand: v.ChipsL, Days: b.openDays(j), Dumps: b.dumpsFor(j.Sanitation),
			Prize: worth[k], Delay: delay(v, b.fleet.days[len(b.fleet.days)-1]),
		}
		switch v.Skill {
		case scheduler.Lift:
			s.Skills |= needsLift
		case scheduler.LineClearance:
			s.Skills |= needsLine
		}
		if v.NeedsTwo() {
			s.Skills |= needsTwo
		}
		if j.Lock != (scheduler.CrewDay{}) {
			s.Lock = 1 + slots[j.Lock]
		}
		p.Stops = append(p.Stops, s)
	}
}

func (b *build) vehicle(s slot) route.Vehicle {
	at := b.ground.depot[s.crew.DepotID]
	v := route.Vehicle{
		Start: at, End: at, Open: 60 * leaves(s.crew), Productive: 60 * productive(s.crew),
		Capacity: s.crew.TruckL, Day: b.fleet.bit(s.day), Fixed: 60 * (s.crew.YardMin + s.crew.BreakMin),
	}
	if len(b.ground.travel) > 0 {
		v.Profile = b.ground.profile[truck(b.r.Graph, s.crew)]
	}
	if s.crew.Has(scheduler.Lift) {
		v.Skills |= needsLift
	}
	if s.crew.Has(scheduler.LineClearance) {
		v.Skills |= needsLine
	}
	if s.crew.People >= 2 {
		v.Skills |= needsTwo
	}
	return v
}

// keepLocks leaves out the jobs whose one crew-day is not in the fleet.
func (b *build) keepLocks(slots map[scheduler.CrewDay]int) {
	g := &b.ground
	n := 0
	for k, i := range b.jobs {
		if l := b.r.Jobs[i].Lock; l != (scheduler.CrewDay{}) {
			if _, ok := slots[l]; !ok {
				b.leaveOut(i, "locked: to crew %d on %s, which takes no new packet then", l.CrewID, l.Day)
				continue
			}
		}
		b.jobs[n], g.place[n], g.group[n], g.pos[n] = i, g.place[k], g.group[k], g.pos[k]
		n++
	}
	b.jobs = b.jobs[:n]
}

// dumpPlace is the place of the request's dump, -1 when no street serves it.
func (b *build) dumpPlace(i int) int {
	if i >= len(b.ground.dump) {
		return -1
	}
	return b.ground.dump[i]
}

// dumpsFor is the set of the problem's dumps that take wood with the flag.
// Flagged wood goes to a site that names the flag, other wood to one that names
// no flag. Where the city has no dump at all, plain chips are emptied in the yard.
func (b *build) dumpsFor(flag string) uint64 {
	if len(b.r.Dumps) == 0 && flag == "" {
		return 0
	}
	set, k := uint64(0), 0
	for i, d := range b.r.Dumps {
		if b.dumpPlace(i) < 0 || k == maxDumps {
			continue
		}
		if named := strings.Fields(d.Sanitary); slices.Contains(named, flag) || flag == "" && len(named) == 0 {
			set |= 1 << k
		}
		k++
	}
	if set == 0 {
		return 1 << maxDumps // none that exists: the visit is left out with that cause
	}
	return set
}
