package crewday

import (
	"fmt"
	"strings"

	"limbround/scheduler"
	"limbround/scheduler/route"
)

// reason says which constraint stopped the visit: a short cause without figures,
// by which many are counted, a colon, and the particulars.
func (b *build) reason(u route.Unserved) string {
	j := &b.r.Jobs[b.jobs[u.Stop]]
	v := &j.Visit
	over := wholeMinutes(u.Over)
	switch u.Cause {
	case route.NoVehicle:
		return "no crew: none can be issued work on these days" + b.expired(v, true)
	case route.NoSkill:
		if b.skilled(v.Skill) {
			return "no crew for " + words(v.Skill) + ": none of two or more people is qualified on these days" + b.expired(v, false)
		}
		return "no crew for " + words(v.Skill) + ": none is qualified on these days" + b.expired(v, false)
	case route.NoDay:
		return "no crew day: no crew that is able to do it works on the days on which it may be done" + b.expired(v, false)
	case route.Locked:
		return fmt.Sprintf("locked: to crew %d on %s, which may not do it then", j.Lock.CrewID, j.Lock.Day)
	case route.NoDump:
		if j.Sanitation != "" {
			return fmt.Sprintf("no dump site: none takes %s", strings.ReplaceAll(j.Sanitation, "_", " "))
		}
		return "no dump site: none takes plain chips"
	case route.TooMuch:
		return fmt.Sprintf("too many chips: its %d l exceed the largest truck by %d l", v.ChipsL, u.Over)
	case route.NoRoute:
		return "street not reachable: no way there and back for a truck (one-ways, posted limits or a gap in the streets)"
	case route.TooLong:
		return fmt.Sprintf("does not fit a shift: %d minutes too long even alone", over)
	case route.NoTimeLeft:
		return fmt.Sprintf("no time left: the best place for it exceeds the shift by %d minutes", over)
	case route.Closed:
		return "outside its hours"
	}
	return string(u.Cause)
}

// skilled reports whether a crew in the fleet has the skill, however few people.
func (b *build) skilled(s scheduler.Skill) bool {
	for _, x := range b.fleet.slots {
		if x.crew.Has(s) {
			return true
		}
	}
	return false
}

// expired names the crew that could do the visit if its ticket were in date;
// empty when there is none. With any, every crew could.
func (b *build) expired(v *scheduler.Visit, any bool) string {
	for _, l := range b.fleet.late {
		if any || l.crew.Has(v.Skill) {
			return fmt.Sprintf("; crew %s cannot be issued on %s: %s expired %s", l.crew.Name, l.day, l.ticket.What, l.ticket.Expires)
		}
	}
	return ""
}

func words(s scheduler.Skill) string {
	switch s {
	case scheduler.Lift:
		return "lift work"
	case scheduler.LineClearance:
		return "line clearance"
	}
	return "ground work"
}
