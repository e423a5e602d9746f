package api

import (
	"net/http"

	"limbround/scheduler"
)

// remindersShown bounds the list on the page; the business API has all of them.
const remindersShown = 50

// toSeeTo reads the reminders that stand, for the page of the day.
func (s *server) toSeeTo(r *http.Request, v *dayView) (err error) {
	v.Reminders, v.RemindersLeft, err = s.Store.ReminderList(r.Context(), scheduler.ReminderOpen, 0, remindersShown)
	v.RemindersLeft -= len(v.Reminders)
	return err
}

// reminderDone takes the word of whoever saw to it.
func (s *server) reminderDone(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID(r, "id")
	if err != nil {
		return err
	}
	city, err := s.Store.City(r.Context())
	if err != nil {
		return err
	}
	done, err := s.Store.ReminderDone(r.Context(), id, s.today(city), r.PostFormValue("note"), s.stamp(r.Context()))
	if err != nil {
		return err
	}
	back(w, r, "/day", "Seen to: "+done.Subject+".")
	return nil
}
