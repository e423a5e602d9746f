package scheduler

import "slices"

// FollowUpRules are the days that the codes for work that could not be done
// set; a zero takes the common practice.
type FollowUpRules struct {
	Weather   int    `json:"weather_days" yaml:"weather_days"`       // on the weather list
	Nest      int    `json:"nest_days" yaml:"nest_days"`             // until the nest is looked at again
	Resident  int    `json:"resident_days" yaml:"resident_days"`     // for the office to reach the resident
	Utility   int    `json:"utility_days" yaml:"utility_days"`       // for the line's owner to answer
	Signs     int    `json:"sign_lead_days" yaml:"sign_lead_days"`   // from posting no-parking signs to the work
	SiteCheck int    `json:"site_check_days" yaml:"site_check_days"` // for an inspection of a tree gone or wrong
	MakeSafe0 int    `json:"make_safe_0_hours" yaml:"make_safe_0_hours"`
	MakeSafe1 int    `json:"make_safe_1_hours" yaml:"make_safe_1_hours"`
	Source    string `json:"source" yaml:"source"`
}

// WithDefaults fills the days that the policy leaves open. All of them are
// common practice, from memory; a permit, an agency or a utility may set others.
func (r FollowUpRules) WithDefaults() FollowUpRules {
	for _, d := range []struct {
		field *int
		days  int
	}{
		{&r.Weather, 1},
		{&r.Nest, 42},
		{&r.Resident, 7},
		{&r.Utility, 30},
		{&r.Signs, 3},
		{&r.SiteCheck, 14},
		{&r.MakeSafe0, 24},
		{&r.MakeSafe1, 7 * 24},
	} {
		if *d.field <= 0 {
			*d.field = d.days
		}
	}
	if r.Source == "" {
		r.Source = "common practice"
	}
	return r
}

// FollowUp is what the code of a visit that could not be done sets for the
// tree's later visits. Visits are derived again every night; a follow-up is a
// fact, and outlives the night.
type FollowUp struct {
	ID       int64    `json:"id"`
	TreeID   int64    `json:"tree_id"`
	RecordID string   `json:"record_id"`
	Code     CouldNot `json:"code"`
	Kind     WorkKind `json:"kind,omitempty"` // the visit it is about; empty for all work that the code stops
	SetOn    Date     `json:"set_on"`
	Until    Date     `json:"until"`             // recheck date of the hold; zero while it lasts until lifted
	Hold     string   `json:"hold,omitempty"`    // reason, when the work is held
	Skill    Skill    `json:"skill,omitempty"`   // least skill of the next try
	First    bool     `json:"first"`             // on top of the next day's list
	Caution  string   `json:"caution,omitempty"` // a line for the next card
	LiftedBy WorkKind `json:"lifted_by,omitempty"`
	EndedOn  Date     `json:"ended_on"`
}

// FirstScore is added to the score of a visit that goes on top of the next
// day's list. A score orders only within a class, so it never passes a more urgent class.
const FirstScore = 1_000_000

// about reports whether the follow-up touches the visit.
func (f *FollowUp) about(v *Visit) bool {
	if f.Kind != "" {
		return f.Kind == v.Kind
	}
	return f.Code.stops(v.Kind)
}

// stops reports whether the code, when it is about the whole tree, stops work
// of this kind: a spent dose the live cuts, everything else all but making safe
// and looking. A dead or hazardous tree may be taken down at any time: that makes it safe too.
func (c CouldNot) stops(k WorkKind) bool {
	switch c {
	case DoseReached:
		return k.Cuts()
	case DeadOrHazard:
		return k != MakeSafe && k != Inspection && k != Removal
	}
	return k != MakeSafe && k != Inspection
}

// holding reports whether the follow-up keeps work from being done on day d.
func (f *FollowUp) holding(d Date) bool {
	return f.Hold != "" && f.EndedOn.IsZero() && (f.Until.IsZero() || f.Until > d)
}

// Carry lays open follow-ups over a visit that the rules propose on day today: the hold
// with the latest recheck date, the skill, the place on the list, the cautions.
func (v *Visit) Carry(fs []FollowUp, today Date) {
	if v.State == NotOurs {
		return
	}
	var hold *FollowUp
	for i := range fs {
		f := &fs[i]
		if !f.EndedOn.IsZero() || !f.about(v) {
			continue
		}
		v.Skill = v.Skill.atLeast(f.Skill)
		if f.Caution != "" {
			v.Cautions = append(v.Cautions[:len(v.Cautions):len(v.Cautions)], f.Caution)
		}
		if f.First {
			v.Score += FirstScore
			v.Reasons = append(v.Reasons[:len(v.Reasons):len(v.Reasons)], Reason{
				Rule: "record.first", Source: "work record",
				Text: "Unfinished on " + f.SetOn.String() + ": on top of the next day's list.",
			})
		}
		if f.holding(today) && (hold == nil || f.Until.IsZero() || (!hold.Until.IsZero() && f.Until > hold.Until)) {
			hold = f
		}
	}
	if hold != nil {
		v.State, v.Hold, v.HoldUntil, v.ClosedTo = Held, hold.Hold, hold.Until, 0
	}
}

// endedBy reports whether a record of the same or a later day brings the
// follow-up to an end: work that was done after all, a check that was asked for, or the same
// code once more, whose new follow-up takes over.
func (f *FollowUp) endedBy(p *PastRecord) bool {
	if p.Record.Outcome != OutcomeDone {
		return f.Code == p.Record.CouldNot && (f.Kind == "" || f.Kind == p.lead())
	}
	switch {
	case f.LiftedBy != "":
		return p.meets(f.LiftedBy)
	case f.Kind != "":
		return p.did(f.Kind)
	default:
		return slices.ContainsFunc(p.Record.Kinds, f.Code.stops) || f.Code.stops(p.lead())
	}
}
