package scheduler

import "slices"

// CutClass is what a season may close: cuts in live wood, the taking of dead
// wood, or emergency work.
type CutClass string

// The cut classes.
const (
	CutLive      CutClass = "live"
	CutDead      CutClass = "dead"
	CutEmergency CutClass = "emergency"
)

var cutClasses = []CutClass{CutLive, CutDead, CutEmergency}

// CutClass is the class of a kind's cuts; empty for work without a cut in the
// crown. A first look takes what cannot wait, so it counts as live.
func (k WorkKind) CutClass() CutClass {
	switch {
	case k == MakeSafe:
		return CutEmergency
	case k == Removal:
		return CutDead
	case k.Cuts(), k == FirstLook:
		return CutLive
	}
	return ""
}

// Touches reports whether the season is about a kind of work. A season without
// cut classes touches the kinds that it lists, or all live cuts; one with
// classes touches those, and its list of kinds narrows the live ones. A list
// with training holds the first look too.
func (s *Season) Touches(k WorkKind) bool {
	c := k.CutClass()
	listed := slices.Contains(s.Kinds, k) || (k == FirstLook && slices.Contains(s.Kinds, Training))
	switch {
	case len(s.Cuts) == 0 && len(s.Kinds) > 0:
		return listed
	case len(s.Cuts) == 0:
		return c == CutLive
	case !slices.Contains(s.Cuts, c):
		return false
	}
	return c != CutLive || len(s.Kinds) == 0 || listed
}

// ClosedTo returns the first season that forbids cuts of the class on a
// species of the group on day d; nil when none does.
func (r *SeasonRules) ClosedTo(group string, c CutClass, d Date) *Season {
	for i := range r.Special {
		s := &r.Special[i]
		classes := s.Cuts
		if len(classes) == 0 {
			classes = []CutClass{CutLive}
		}
		if s.Closes() && slices.Contains(classes, c) && (len(s.Groups) == 0 || slices.Contains(s.Groups, group)) && s.holds(d) == (s.Kind == SeasonClosed) {
			return s
		}
	}
	return nil
}

// Closes reports whether the season forbids work, inside its span or outside it.
func (s *Season) Closes() bool { return s.Kind == SeasonClosed || s.Kind == SeasonAllowed }

// Approval is the caution on emergency work in a closed season: who approves
// it, and the paint on an oak's wound (common practice). It is empty on a day
// on which neither live cuts nor emergencies are closed.
func (r *SeasonRules) Approval(group string, d Date) string {
	s := r.ClosedTo(group, CutEmergency, d)
	if s == nil {
		s = r.ClosedTo(group, CutLive, d)
	}
	if s == nil {
		return ""
	}
	text := "Closed season (" + s.Authority + "): an emergency cut needs a named approver; write the name down. Cut no more than makes it safe"
	if group == "oak" {
		text += ", and paint the wound at once"
	}
	return text + "."
}
