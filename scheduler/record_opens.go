package scheduler

import (
	"fmt"
	"math"
	"slices"
	"time"

	"limbround/geo"
)

// OpenedVisit is a visit that work records themselves call for.
type OpenedVisit struct {
	Visit   Visit
	ActBy   time.Time // by when
	Records []string  // the records that call for it
	Done    bool      // a later record has done it: it is on file as completed
}

// SeenHazard is a danger with the time by which it has to be acted on.
type SeenHazard struct {
	Hazard
	ActBy time.Time
}

// OpenVisits returns what the tree's records still call for, one visit to be
// open for each kind: as urgent as the most urgent of them, with the words of all. The given
// record's own comes besides as done when a later one did it already. The
// danger that the record tells of, if any, comes second.
func (f *Folded) OpenVisits(record string, s *Site, p *Policy) (list []OpenedVisit, seen *SeenHazard) {
	for i := len(f.Opened) - 1; i >= 0; i-- {
		o := &f.Opened[i]
		this := o.Record.ID == record
		if o.DoneBy != "" && !this {
			continue
		}
		v := o.visit(&f.Tree, s, p)
		if this && o.Kind == MakeSafe {
			seen = &SeenHazard{o.hazard(), v.ActBy}
		}
		if n := slices.IndexFunc(list, func(w OpenedVisit) bool { return w.Visit.Kind == o.Kind && !w.Done }); n >= 0 && !v.Done {
			list[n].join(&v)
		} else {
			list = append(list, v)
		}
	}
	return list, seen
}

func (o *Opened) visit(t *Tree, s *Site, p *Policy) OpenedVisit {
	var v OpenedVisit
	if o.Kind == MakeSafe {
		v = HazardVisit(o.hazard(), t, s, p, o.On)
	} else {
		v = SiteCheck(o.Record.CouldNot, t, s, p, o.On)
	}
	v.Records, v.Done = []string{o.Record.ID}, o.DoneBy != ""
	return v
}

// nobodyNamed stands for whoever was told, where a code alone tells of the danger.
const nobodyNamed = "not recorded"

// hazard is the danger that the record tells of, in its words or its code's.
func (o *Opened) hazard() Hazard {
	h := Hazard{What: "dead or hazardous tree", Class: 1, CalledTo: nobodyNamed}
	if o.Record.Found == Dead {
		h.What = "dead tree"
	}
	if o.Record.Hazard != nil {
		h = *o.Record.Hazard
	}
	if h.At.IsZero() {
		h.At = o.Record.Finish
	}
	return h
}

// join makes o at least as urgent and as well equipped as other, of the same kind, and says what it says.
func (o *OpenedVisit) join(other *OpenedVisit) {
	v, w := &o.Visit, &other.Visit
	v.Window.Earliest = min(v.Window.Earliest, w.Window.Earliest)
	v.Window.Due = min(v.Window.Due, w.Window.Due)
	v.Window.Latest = min(v.Window.Latest, w.Window.Latest)
	v.Class, v.Skill = min(v.Class, w.Class), v.Skill.atLeast(w.Skill)
	v.Minutes, v.ChipsL = max(v.Minutes, w.Minutes), max(v.ChipsL, w.ChipsL)
	v.Objectives = append(v.Objectives, w.Objectives...)
	v.Reasons = append(v.Reasons, w.Reasons...)
	for _, c := range w.Cautions {
		if !slices.Contains(v.Cautions, c) {
			v.Cautions = append(v.Cautions, c)
		}
	}
	o.Records = append(o.Records, other.Records...)
	if other.ActBy.Before(o.ActBy) {
		o.ActBy = other.ActBy
	}
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
	o := OpenedVisit{ActBy: h.At.Add(time.Duration(hours) * time.Hour)}
	latest := seenOn.AddDays((hours + 23) / 24)
	v := opened(MakeSafe, t, s, p, Window{Earliest: seenOn, Due: seenOn, Latest: latest}, h.Class)
	v.Origin = FromHazard
	v.Objectives = []string{"Make safe: " + h.What}
	told := "told to " + h.CalledTo
	if h.CalledTo == nobodyNamed {
		told = "who was told is " + nobodyNamed
	}
	v.Reasons = []Reason{{
		Rule: "hazard.seen", Source: rules.Source,
		Text: fmt.Sprintf("%s, seen on %s, %s: act within %d hours.", h.What, seenOn, told, hours),
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
	reach := max(p.Wires.Distance(s.WireVolts), geo.Feet(10))
	if t.Crown.Known() {
		reach += t.Crown / 2
	}
	return !s.ToWire.Known() || s.ToWire <= reach
}
