package due

import "limbround/scheduler"

// mostTrips guards a calendar against a policy whose visits do not move on.
const mostTrips = 200

// Calendar lists the trips that the tree will take over a number of years from
// today, each with its reasons, assuming that every visit is done on its due
// day (or today, when that is past) and that the tree grows along its curve.
// What a visit changes is in done: bases are raised as far as allowed, watched
// branches are reduced and taken, and the stage moves on when the facts that
// the model can foresee are reached. A work record always knows better.
func (e *Engine) Calendar(t scheduler.Tree, s scheduler.Site, today scheduler.Date, years int) []scheduler.Visit {
	end := addMonths(today, 12*years)
	t.Watch = append([]scheduler.WatchItem(nil), t.Watch...)
	var out []scheduler.Visit
	for now := today; len(out) < mostTrips; {
		next, at := e.nextTrip(&t, &s, now)
		if next == nil || at > end {
			return out
		}
		next.AsOf = today
		if at > today {
			next.State, next.ClosedTo = scheduler.Upcoming, 0
			if next.Kind == scheduler.FirstLook && len(next.Kinds) == 1 {
				next.State = scheduler.NotAssessed
			}
		}
		out = append(out, *next)
		if next.State == scheduler.NotOurs {
			return out
		}
		e.done(&t, &s, next, at)
		now = at + 1
	}
	return out
}

// nextTrip is the visit that comes first from a day on, and the day it is done.
func (e *Engine) nextTrip(t *scheduler.Tree, s *scheduler.Site, now scheduler.Date) (*scheduler.Visit, scheduler.Date) {
	p := e.species[t.Species]
	if p == nil {
		p = e.other
	}
	visits := e.Visits(*t, *s, now)
	best, day := -1, scheduler.Date(0)
	for i := range visits {
		at := max(visits[i].Window.Due, now)
		for range maxHops {
			from := at
			for _, k := range visits[i].Kinds {
				if open := p.opens(k, at); open != 0 {
					at = open
				}
			}
			if at == from {
				break
			}
		}
		if best < 0 || at < day || (at == day && visits[i].Class < visits[best].Class) {
			best, day = i, at
		}
	}
	if best < 0 {
		return nil, 0
	}
	return &visits[best], day
}
