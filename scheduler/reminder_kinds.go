package scheduler

import "fmt"

// signReminder is about the no-parking signs of one stop: to be posted with
// their lead time, or about to end while the stop is still to be done.
func signReminder(s *ParkingSign, r *RemindRules, today Date) *Reminder {
	where := fmt.Sprintf("%s, %s side, for %s on %s (packet %d)", s.Street, s.Side, s.Crew, s.Day, s.Packet)
	out := &Reminder{Subject: fmt.Sprintf("sign %d", s.ID), Source: "common practice"}
	if !s.Posted {
		out.Kind, out.DueOn, out.LastDay = RemindSignMissing, s.Day.AddDays(-r.SignLead), s.Day
		if today < out.DueOn || today > s.Day {
			return nil
		}
		out.Text = fmt.Sprintf("Post the no-parking signs on %s by %s, or move the stop.", where, out.DueOn)
		out.Reason = fmt.Sprintf("Signs stand %d days before the work, or as the local code says; nobody has recorded posting them.", r.SignLead)
		return out
	}
	out.Kind, out.DueOn, out.LastDay = RemindSignExpiry, s.ValidTo.AddDays(-r.SignDays), s.ValidTo
	early := s.ValidTo < s.Day
	if today < out.DueOn && !early {
		return nil
	}
	out.Text = fmt.Sprintf("The no-parking signs on %s end on %s and the stop is still to be done.", where, s.ValidTo)
	out.Reason = fmt.Sprintf("Told %d days before posted signs end.", r.SignDays)
	if early {
		out.Text = fmt.Sprintf("The no-parking signs on %s end on %s, before the crew comes: post them again or move the stop.", where, s.ValidTo)
		out.Reason = "The signs must be valid on the day of the work."
	}
	return out
}

// ticketReminder stands from the last of the rule's days that has come until
// the ticket is renewed; the nearer day takes the place of the farther one.
func ticketReminder(c *Crew, t Ticket, r *RemindRules, today Date) *Reminder {
	if t.Expires.IsZero() {
		return nil
	}
	for i := len(r.TicketDays) - 1; i >= 0; i-- {
		days := r.TicketDays[i]
		due := t.Expires.AddDays(-days)
		if today < due {
			continue
		}
		reason := fmt.Sprintf("Told %d days before a ticket ends.", days)
		if days == 0 {
			reason = "Told on the last day of a ticket."
		}
		return &Reminder{
			Kind: RemindTicket, Subject: fmt.Sprintf("crew %s, %s", c.Ref, t.What), DueOn: due, LastDay: t.Expires,
			Text:   fmt.Sprintf("%s: %s is valid to %s; after that day no packet can be issued to the crew.", c.Name, t.What, t.Expires),
			Reason: reason, Source: "common practice",
		}
	}
	return nil
}
