package crewday

import (
	"fmt"
	"slices"
	"strings"

	"limbround/scheduler"
)

// fleet is the crew-days that can be given work.
type fleet struct {
	first scheduler.Date // day 0
	days  []scheduler.Date
	slots []slot
	idle  []Idle
	late  []lapsed // crews kept home by an expired ticket
}

// slot is one crew on one day.
type slot struct {
	crew *scheduler.Crew
	day  scheduler.Date
}

// lapsed is a crew that cannot be issued work on a day.
type lapsed struct {
	slot
	ticket scheduler.Ticket
}

// newFleet lists the crew-days in order of day and crew, so that the order of
// the request does not matter.
func newFleet(r *Request) (fleet, error) {
	f := fleet{days: slices.Clone(r.Days)}
	slices.Sort(f.days)
	f.days = slices.Compact(f.days)
	if len(f.days) == 0 || f.days[0].IsZero() {
		return f, scheduler.Errorf(scheduler.Invalid, "days: at least one day is needed, each a real date")
	}
	f.first = f.days[0]
	if last := f.days[len(f.days)-1]; int(last-f.first) >= maxDays {
		return f, scheduler.Errorf(scheduler.Invalid, "days: %s to %s is more than %d days", f.first, last, maxDays)
	}
	depots := map[int64]bool{}
	for _, d := range r.Depots {
		depots[d.ID] = true
	}
	busy := map[scheduler.CrewDay]bool{}
	for _, b := range r.Busy {
		busy[b] = true
	}
	crews := make([]*scheduler.Crew, len(r.Crews))
	for i := range r.Crews {
		crews[i] = &r.Crews[i]
		if !depots[crews[i].DepotID] {
			return f, scheduler.Errorf(scheduler.Invalid, "crew %s: depot %d is not among the depots", crews[i].Name, crews[i].DepotID)
		}
	}
	slices.SortFunc(crews, func(a, b *scheduler.Crew) int { return int(a.ID - b.ID) })
	for i := 1; i < len(crews); i++ {
		if crews[i].ID == crews[i-1].ID {
			return f, scheduler.Errorf(scheduler.Invalid, "crew %d is listed twice", crews[i].ID)
		}
	}
	for _, day := range f.days {
		for _, c := range crews {
			if c.Works(day) && !busy[scheduler.CrewDay{CrewID: c.ID, Day: day}] {
				f.add(slot{c, day})
			}
		}
	}
	return f, nil
}

// add takes a crew-day into the fleet unless something keeps it from work.
func (f *fleet) add(s slot) {
	if expired := s.crew.Expired(s.day); len(expired) > 0 {
		var what []string
		for _, t := range expired {
			what = append(what, fmt.Sprintf("%s expired %s", t.What, t.Expires))
		}
		f.idle = append(f.idle, Idle{s.crew.ID, s.day, "cannot be issued: " + strings.Join(what, ", ")})
		f.late = append(f.late, lapsed{s, expired[0]})
		return
	}
	if productive(s.crew) <= 0 {
		f.idle = append(f.idle, Idle{s.crew.ID, s.day, fmt.Sprintf(
			"yard and break take all of its shift of %d minutes", s.crew.ShiftMin)})
		return
	}
	f.slots = append(f.slots, s)
}

// drop takes the crew-days that keep rejects out of the fleet, with a reason.
func (f *fleet) drop(reason string, rejects func(slot) bool) {
	f.slots = slices.DeleteFunc(f.slots, func(s slot) bool {
		if !rejects(s) {
			return false
		}
		f.idle = append(f.idle, Idle{s.crew.ID, s.day, reason})
		return true
	})
}

// productive is the minutes between leaving the yard and coming back.
func productive(c *scheduler.Crew) int { return c.ShiftMin - c.YardMin - c.BreakMin }

// leaves is the minute after midnight at which the crew leaves the yard. Half of
// the yard time lies before it (briefing, pre-trip, fuel), the rest after the
// return (wash-down, brush, papers): common practice.
func leaves(c *scheduler.Crew) int { return c.ShiftStart + (c.YardMin+1)/2 }

// bit is the number of a day within the span.
func (f *fleet) bit(d scheduler.Date) int { return int(d - f.first) }
