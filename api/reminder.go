package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

type reminderListInput struct {
	Paging
	State string `query:"state" enum:"open,done,withdrawn" default:"open"`
}

type reminderListOutput struct {
	Body list[scheduler.Reminder]
}

type reminderDoneInput struct {
	ID   int64 `path:"id" minimum:"1"`
	Body struct {
		Note string `json:"note" maxLength:"2000" doc:"What was done"`
	}
}

type reminderOutput struct {
	Body scheduler.Reminder
}

func (s *server) reminderOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/reminders", "list-reminders", "Warranties, parking signs and tickets to see to, each with its day and reason",
		func(ctx context.Context, in *reminderListInput) (*reminderListOutput, error) {
			l, matched, err := s.Store.ReminderList(ctx, scheduler.ReminderState(in.State), in.After, in.Limit)
			if err != nil {
				return nil, err
			}
			return &reminderListOutput{pageOf(ctx, l, matched, in.Paging, func(r *scheduler.Reminder) int64 { return r.ID })}, nil
		})
	handle(s, a, http.MethodPost, "/reminders/{id}/done", "end-reminder", "Say that a reminder was seen to",
		func(ctx context.Context, in *reminderDoneInput) (*reminderOutput, error) {
			city, err := s.Store.City(ctx)
			if err != nil {
				return nil, err
			}
			r, err := s.Store.ReminderDone(ctx, in.ID, s.today(city), in.Body.Note, s.stamp(ctx))
			return &reminderOutput{r}, err
		})
}
