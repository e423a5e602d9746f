package scheduler

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// The figures are common practice: a year's warranty with an inspection 45 days
// before its end, tickets told 30 and 14 days before and on their last day,
// signs three days before the work.
func defaultRemindRules() RemindRules { return (&Policy{}).RemindRules() }

func TestWarrantyReminder(t *testing.T) {
	planted := NewDate(2026, time.April, 20)
	end := NewDate(2027, time.April, 20)
	due := NewDate(2027, time.March, 6) // 45 days before
	tree := WarrantyTree{Ref: "PL-1", Address: "118 Weir Street", Planted: planted, Precision: PreciseDay}
	for name, c := range map[string]struct {
		change func(*WarrantyTree)
		today  Date
		says   string // empty for no reminder
	}{
		"the day before":           {func(*WarrantyTree) {}, due - 1, ""},
		"45 days before":           {func(*WarrantyTree) {}, due, "Inspect tree PL-1, 118 Weir Street, before its warranty ends on 2027-04-20."},
		"last day":                 {func(*WarrantyTree) {}, end, "Inspect tree"},
		"over":                     {func(*WarrantyTree) {}, end + 1, ""},
		"seen before":              {func(w *WarrantyTree) { w.LastSeen = due - 1 }, due + 5, "Inspect tree"},
		"inspected":                {func(w *WarrantyTree) { w.LastSeen = due }, due + 5, ""},
		"dead and seen":            {func(w *WarrantyTree) { w.LastSeen, w.Dead = due, true }, due + 5, "Claim tree"},
		"known to the season":      {func(w *WarrantyTree) { w.Precision = PreciseSeason }, due, "Inspect tree"},
		"known only to the year":   {func(w *WarrantyTree) { w.Precision = PreciseYear }, due, ""},
		"no planting date":         {func(w *WarrantyTree) { w.Planted, w.Precision = 0, PreciseNone }, due, ""},
		"a date without precision": {func(w *WarrantyTree) { w.Planted = 0 }, due, ""},
	} {
		w := tree
		c.change(&w)
		rules := defaultRemindRules()
		wantReminder(t, name, Remind(&ReminderFacts{Trees: []WarrantyTree{w}}, &rules, c.today), c.says, due)
	}
}

func TestTicketReminder(t *testing.T) {
	ends := NewDate(2027, time.January, 31)
	crew := Crew{Ref: "P1", Name: "Pickup 1", Tickets: []Ticket{{"first aid", ends}, {"never ends", 0}}}
	rules := defaultRemindRules()
	for today, due := range map[Date]Date{
		ends - 31: 0, ends - 30: ends - 30, ends - 15: ends - 30, ends - 14: ends - 14, ends - 1: ends - 14, ends: ends, ends + 400: ends,
	} {
		says := ""
		if due != 0 {
			says = "Pickup 1: first aid is valid to 2027-01-31; after that day no packet can be issued"
		}
		wantReminder(t, today.String(), Remind(&ReminderFacts{Crews: []Crew{crew}}, &rules, today), says, due)
	}
	// The rule that the last line speaks of is the crew's own.
	if n := len(crew.Expired(ends)); n != 0 {
		t.Error("a ticket is expired on its last day")
	}
	if n := len(crew.Expired(ends + 1)); n != 1 {
		t.Error("a ticket is valid on the day after its last")
	}
}

func TestSignReminder(t *testing.T) {
	day := NewDate(2027, time.May, 10)
	sign := ParkingSign{ID: 12, Street: "Weir Street", Side: "left", Packet: 4, Crew: "Lift 1", Day: day, ValidFrom: day, ValidTo: day + 1}
	for name, c := range map[string]struct {
		change func(*ParkingSign)
		today  Date
		says   string
		due    Date
	}{
		"time enough to post":      {func(*ParkingSign) {}, day - 4, "", 0},
		"to be posted":             {func(*ParkingSign) {}, day - 3, "Post the no-parking signs on Weir Street, left side, for Lift 1 on 2027-05-10 (packet 4) by 2027-05-07", day - 3},
		"still not posted":         {func(*ParkingSign) {}, day, "Post the no-parking signs", day - 3},
		"too late to post":         {func(*ParkingSign) {}, day + 1, "", 0},
		"posted, valid a while":    {func(s *ParkingSign) { s.Posted = true }, day - 3, "", 0},
		"posted, about to end":     {func(s *ParkingSign) { s.Posted = true }, day - 2, "end on 2027-05-11 and the stop is still to be done", day - 2},
		"ended, stop still live":   {func(s *ParkingSign) { s.Posted = true }, day + 9, "still to be done", day - 2},
		"ends before the crew":     {func(s *ParkingSign) { s.Posted, s.ValidTo = true, day-1 }, day - 2, "before the crew comes", day - 4},
		"ends before, known early": {func(s *ParkingSign) { s.Posted, s.ValidTo = true, day-1 }, day - 9, "before the crew comes", day - 4},
	} {
		s := sign
		c.change(&s)
		rules := defaultRemindRules()
		wantReminder(t, name, Remind(&ReminderFacts{Signs: []ParkingSign{s}}, &rules, c.today), c.says, c.due)
	}
}

// The policy's own figures win over common practice.
func TestRemindRulesComeFromThePolicy(t *testing.T) {
	p := Policy{Practice: PracticeRules{EstablishBy: 24, WarrantyDays: 60}, FollowUp: FollowUpRules{Signs: 5}}
	want := RemindRules{WarrantyMonths: 24, WarrantyDays: 60, SignLead: 5, SignDays: 3, TicketDays: []int{30, 14, 0}}
	if d := cmp.Diff(want, p.RemindRules()); d != "" {
		t.Error(d)
	}
}

func wantReminder(t *testing.T, name string, got []Reminder, says string, due Date) {
	t.Helper()
	switch {
	case says == "" && len(got) == 0:
	case says == "" || len(got) != 1:
		t.Errorf("%s: %d reminders %v", name, len(got), got)
	case !strings.Contains(got[0].Text, says) || got[0].DueOn != due || got[0].Reason == "" || got[0].Source == "":
		t.Errorf("%s: %+v, want %q on %s", name, got[0], says, due)
	}
}
