package scheduler

import "fmt"

// ReminderKind says what a reminder is about.
type ReminderKind string

// The kinds of reminder.
const (
	RemindWarranty    ReminderKind = "warranty"     // inspect before the warranty of a planted tree ends
	RemindSignMissing ReminderKind = "sign_missing" // no-parking signs of a stop are not posted
	RemindSignExpiry  ReminderKind = "sign_expiry"  // they end while the stop is still to be done
	RemindTicket      ReminderKind = "ticket"       // a qualification or inspection of a crew ends
)

// ReminderState is what became of a reminder.
type ReminderState string

// The states of a reminder.
const (
	ReminderOpen      ReminderState = "open"
	ReminderDone      ReminderState = "done"      // somebody said so
	ReminderWithdrawn ReminderState = "withdrawn" // its cause is gone
)

// Reminder is something to see to by a day, that is no visit to a tree. Kind,
// subject and due day together say which one it is.
type Reminder struct {
	ID      int64         `json:"id"`
	Kind    ReminderKind  `json:"kind"`
	Subject string        `json:"subject"`  // "tree PL-001", "sign 12", "crew P1, first aid"
	DueOn   Date          `json:"due_on"`   // from this day on somebody should act
	LastDay Date          `json:"last_day"` // the warranty, sign or ticket ends on it; of a missing sign: the day of the work
	Text    string        `json:"text"`     // one sentence
	Reason  string        `json:"reason"`   // the rule with its figures
	Source  string        `json:"source"`
	State   ReminderState `json:"state"`
	MadeOn  Date          `json:"made_on"`
	EndedOn Date          `json:"ended_on"`
	EndedBy string        `json:"ended_by,omitempty"`
	Note    string        `json:"note,omitempty"`
}

// RemindStats counts what one run did.
type RemindStats struct {
	New       int `json:"new"`     // made, or open again
	Changed   int `json:"changed"` // other words or dates
	Withdrawn int `json:"withdrawn"`
	Open      int `json:"open"` // after the run
}

// RemindRules are the days on which reminders begin.
type RemindRules struct {
	WarrantyMonths int   // from planting to the warranty's end
	WarrantyDays   int   // inspection before that
	SignLead       int   // from posting signs to the work
	SignDays       int   // before posted signs end
	TicketDays     []int // before a ticket ends, each once, descending
}

// RemindRules are the policy's figures, and common practice where it has none.
func (p *Policy) RemindRules() RemindRules {
	practice, follow := p.Practice.WithDefaults(), p.FollowUp.WithDefaults()
	return RemindRules{
		WarrantyMonths: p.Warranty(), WarrantyDays: practice.WarrantyDays, SignLead: follow.Signs,
		SignDays: 3, TicketDays: []int{30, 14, 0}, // common practice, from memory
	}
}

// ReminderFacts are what reminders are derived from.
type ReminderFacts struct {
	Trees []WarrantyTree // the city's own, alive or dead
	Signs []ParkingSign  // of live stops
	Crews []Crew
}

// WarrantyTree is a planted tree that may be under warranty.
type WarrantyTree struct {
	Ref, Address string
	Planted      Date
	Precision    Precision
	Dead         bool
	LastSeen     Date // newest visit that looked at the whole of it
}

// ParkingSign is a set of no-parking signs for a stop that is still to be done.
type ParkingSign struct {
	ID        int64
	Street    string
	Side      string // of the street
	Packet    int64
	Crew      string
	Day       Date // of the packet
	Posted    bool
	ValidFrom Date
	ValidTo   Date
}

// Remind derives the reminders that stand on a day. It is pure: the same facts
// on the same day give the same reminders, and their words name dates, not days left, so
// that they stay the same from day to day.
func Remind(f *ReminderFacts, r *RemindRules, today Date) []Reminder {
	var out []Reminder
	for i := range f.Trees {
		out = appendSome(out, warrantyReminder(&f.Trees[i], r, today))
	}
	for i := range f.Signs {
		out = appendSome(out, signReminder(&f.Signs[i], r, today))
	}
	for i := range f.Crews {
		for _, t := range f.Crews[i].Tickets {
			out = appendSome(out, ticketReminder(&f.Crews[i], t, r, today))
		}
	}
	return out
}

func appendSome(out []Reminder, r *Reminder) []Reminder {
	if r == nil {
		return out
	}
	return append(out, *r)
}

// warrantyReminder stands from the inspection day to the warranty's end, until
// somebody has been at the tree. A planting date that is known only to the year
// gives no day. A dead tree is the claim itself.
func warrantyReminder(t *WarrantyTree, r *RemindRules, today Date) *Reminder {
	switch t.Precision {
	case PreciseDay, PreciseMonth, PreciseSeason:
	default:
		return nil
	}
	end := t.Planted.AddMonths(r.WarrantyMonths)
	due := end.AddDays(-r.WarrantyDays)
	if t.Planted.IsZero() || today < due || today > end || (t.LastSeen >= due && !t.Dead) {
		return nil
	}
	text := fmt.Sprintf("Inspect tree %s, %s, before its warranty ends on %s.", t.Ref, t.Address, end)
	if t.Dead {
		text = fmt.Sprintf("Claim tree %s, %s: it is recorded as dead and its warranty ends on %s.", t.Ref, t.Address, end)
	}
	return &Reminder{
		Kind: RemindWarranty, Subject: "tree " + t.Ref, DueOn: due, LastDay: end, Text: text,
		Reason: fmt.Sprintf("Planted %s, known to the %s; warranty of %d months, inspection %d days before its end.", t.Planted, t.Precision, r.WarrantyMonths, r.WarrantyDays),
		Source: "common practice",
	}
}
