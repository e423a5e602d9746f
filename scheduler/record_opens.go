package scheduler

import (
	"fmt"
	"math"
	"time"

	"limbround/geo"
)

// OpenedVisit is a visit that a work record itself opens, with the time by
// which it has to be acted on.
type OpenedVisit struct {
	Visit  Visit
	ActBy  time.Time
	Hazard *Hazard // what it makes safe, nil for a check
}

// HazardVisit is the visit that makes a danger safe: class 0 within hours,
// class 1 within days (the hours are policy, by default common practice). seenOn
// is the civil date of the sighting. A qualified person decides on the spot; the program
// never says that a tree is safe.
func HazardVisit(h Hazard, t *Tree, s *Site, p *Policy, seenOn Date) OpenedVisit {
	rules := p.FollowUp.WithDefaults()
	hours := rules.MakeSafe1
	if h.Class == 0 {
		hours = rules.MakeSafe0
	}
	o := OpenedVisit{ActBy: h.At.Add(time.Duration(hours) * time.Hour), Hazard: &h}
	latest := seenOn.AddDays((hours + 23) / 24)
	v := opened(MakeSafe, t, s, p, Window{Earliest: seenOn, Due: seenOn, Latest: latest}, h.Class)
	v.Origin = FromHazard
	v.Objectives = []string{"Make safe: " + h.What}
	v.Reasons = []Reason{{
		Rule: "hazard.seen", Source: rules.Source,
		Text: fmt.Sprintf("%s, seen on %s, told to %s: act within %d hours.", h.What, seenOn, h.CalledTo, hours),
	}}
	v.Cautions = append(v.Cautions, "Keep people out from under it; a qualified person decides how it is taken down.")
	if t.Height > p.Training.Reach && p.Training.Reach > 0 {
		v.Skill = Lift
	}
	if nearWire(t, s, p) {
		v.Skill = LineClearance
		v.Cautions = append(v.Cautions, "Overhead line: no person, tool or falling piece of an unqualified crew within 10 ft (29 CFR 1910.333).")
	}
	o.Visit = v
	return o
}

// SiteCheck is the inspection that a code asks for: a tree that is gone, or
// not what the inventory says.
func SiteCheck(code CouldNot, t *Tree, s *Site, p *Policy, on Date) OpenedVisit {
	rules := p.FollowUp.WithDefaults()
	latest := on.AddDays(rules.SiteCheck)
	what := "Check the site: the tree was not found."
	if code == WrongSpecies {
		what = "Correct the inventory: species or place was wrong."
	}
	v := opened(Inspection, t, s, p, Window{Earliest: on, Due: on, Latest: latest}, 3)
	v.Origin = FromRecord
	v.Objectives = []string{what}
	v.Reasons = []Reason{{Rule: "record." + string(code), Source: rules.Source, Text: fmt.Sprintf("Reported on %s; checked within %d days.", on, rules.SiteCheck)}}
	return OpenedVisit{Visit: v, ActBy: latest.Time()}
}

func opened(k WorkKind, t *Tree, s *Site, p *Policy, w Window, class int) Visit {
	v := Visit{
		TreeID: t.ID, SiteID: s.ID, Kind: k, Kinds: []WorkKind{k}, Window: w, State: Due, Progress: Open,
		Class: class, Skill: Ground, PolicyID: p.ID, AsOf: w.Earliest,
	}
	dbh := max(0, t.DBH.CM())
	for _, m := range p.Work.Kinds {
		if m.Kind == k {
			v.Minutes = int(math.Ceil((m.Base + m.PerCM*dbh) * (1 + float64(p.Work.SpreadPct)/100)))
			v.ChipsL = int(math.Ceil(m.Chips * dbh))
		}
	}
	return v
}

// nearWire reports whether the crown may be within the approach distance of a
// line that is or may be energised. An unknown distance or height counts as near.
func nearWire(t *Tree, s *Site, p *Policy) bool {
	switch s.WireClass {
	case WireNone, WireComms, "":
		return false
	}
	reach := max(p.Wires.Approach, geo.Feet(10))
	if t.Crown.Known() {
		reach += t.Crown / 2
	}
	return !s.ToWire.Known() || s.ToWire <= reach
}
