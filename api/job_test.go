package api_test

import (
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// backroom is what the command line and the workers ask of the store.
type backroom interface {
	store
	jobs.HoldStore
	jobs.ApplyStore
	jobs.RemindStore
}

func (s *site) backroom(t *testing.T) backroom {
	t.Helper()
	b, ok := s.store.(backroom)
	if !ok {
		t.Fatalf("a %T does not hold batches and reminders", s.store)
	}
	return b
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }

type jobPage struct {
	Items    []scheduler.JobStatus `json:"items"`
	Matched  int                   `json:"numberMatched"`
	Returned int                   `json:"numberReturned"`
	Next     string                `json:"next"`
}

func TestJobsAreListedAndCancelled(t *testing.T) {
	s := newSite(t)
	for _, day := range []string{"2026-12-05", "2026-12-06", "2026-12-07"} {
		s.send(t, "POST", "/api/v1/due-passes", map[string]any{"as_of": day}).want(t, http.StatusAccepted)
	}
	var page, rest jobPage
	s.send(t, "GET", "/api/v1/jobs?state=available&limit=2", nil).want(t, 200).into(t, &page)
	if page.Matched != 3 || page.Returned != 2 || page.Next == "" || page.Items[0].ID <= page.Items[1].ID {
		t.Fatalf("first page: %+v", page)
	}
	s.send(t, "GET", page.Next, nil).want(t, 200).into(t, &rest)
	if rest.Returned != 1 || rest.Items[0].ID >= page.Items[1].ID || rest.Next != "" {
		t.Errorf("second page: %+v", rest)
	}
	id := page.Items[0].ID
	a := s.send(t, "DELETE", "/api/v1/jobs/"+itoa(id), nil).want(t, http.StatusAccepted)
	var st scheduler.JobStatus
	s.send(t, "GET", a.Header.Get("Location"), nil).want(t, 200).into(t, &st)
	if st.ID != id || st.State != "cancelled" || !st.Finished() {
		t.Errorf("cancelled: %+v", st)
	}
	s.send(t, "DELETE", "/api/v1/jobs/"+itoa(id), nil).want(t, http.StatusConflict)
	s.send(t, "DELETE", "/api/v1/jobs/999999", nil).want(t, http.StatusNotFound)
	s.send(t, "DELETE", "/api/v1/jobs/"+itoa(rest.Items[0].ID), nil, "Authorization", "Bearer "+s.analyst).want(t, http.StatusForbidden)
	s.send(t, "GET", "/api/v1/jobs?state=asleep", nil).want(t, http.StatusUnprocessableEntity)
}

func TestAHeldBatchIsAppliedByAJob(t *testing.T) {
	s := newSite(t)
	path := filepath.Join(t.TempDir(), "trees.csv")
	if err := os.WriteFile(path, []byte("ref,species,lon,lat\nT-900,ACRU,-85.1990,40.10009\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	d := s.backroom(t)
	res, err := jobs.Import{Store: d, Hold: d, Now: now}.Run(t.Context(), jobs.ImportRequest{Layer: "trees", Path: path, Actor: "test"})
	if err != nil || !res.Held {
		t.Fatalf("%+v, %v", res, err)
	}
	apply := "/api/v1/imports/" + itoa(res.Batch) + "/apply"
	s.send(t, "POST", apply, nil, "Authorization", "Bearer "+s.analyst).want(t, http.StatusForbidden)
	a := s.send(t, "POST", apply, nil).want(t, http.StatusAccepted)
	var first, again scheduler.JobStatus
	s.send(t, "GET", a.Header.Get("Location"), nil).want(t, 200).into(t, &first)
	if first.Kind != "import_apply" || string(first.Args) == "" {
		t.Errorf("job %+v", first)
	}
	if s.send(t, "POST", apply, nil).want(t, http.StatusAccepted).into(t, &again); again.ID != first.ID {
		t.Errorf("asked twice: jobs %d and %d", first.ID, again.ID)
	}
	s.send(t, "POST", "/api/v1/imports/999999/apply", nil).want(t, http.StatusNotFound)
	if _, err := (jobs.ImportApply{Store: d, Now: now}).Run(t.Context(), jobs.ImportApplyRequest{Batch: res.Batch, Actor: "test"}); err != nil {
		t.Fatal(err)
	}
	s.send(t, "POST", apply, nil).want(t, http.StatusConflict)
}

func TestRemindersAreListedAndDone(t *testing.T) {
	s := newSite(t)
	d := s.backroom(t)
	path := filepath.Join(t.TempDir(), "crews.csv")
	if err := os.WriteFile(path, []byte("ref,name,depot_ref,people,tickets\nP1,Pickup 1,N,2,first aid=2026-12-20;truck test=2026-12-24\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := (jobs.Import{Store: d, Now: now}).Run(t.Context(), jobs.ImportRequest{Layer: "crews", Path: path, Actor: "test"}); err != nil {
		t.Fatal(err)
	}
	if got, err := (jobs.Remind{Store: d, Now: now}).Run(t.Context(), jobs.RemindRequest{Actor: "test"}); err != nil || got.New != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	var page struct {
		Items   []scheduler.Reminder `json:"items"`
		Matched int                  `json:"numberMatched"`
	}
	s.send(t, "GET", "/api/v1/reminders", nil).want(t, 200).into(t, &page)
	if page.Matched != 2 || page.Items[0].Kind != scheduler.RemindTicket || page.Items[0].DueOn != scheduler.NewDate(2026, 11, 20) {
		t.Fatalf("reminders: %+v", page)
	}
	done := "/api/v1/reminders/" + itoa(page.Items[0].ID) + "/done"
	s.send(t, "POST", done, map[string]any{"note": "course booked"}, "Authorization", "Bearer "+s.analyst).want(t, http.StatusForbidden)
	var r scheduler.Reminder
	s.send(t, "POST", done, map[string]any{"note": "course booked"}).want(t, 200).into(t, &r)
	if r.State != scheduler.ReminderDone || r.Note != "course booked" || r.EndedOn != scheduler.NewDate(2026, 12, 1) || r.EndedBy == "" {
		t.Errorf("done: %+v", r)
	}
	if s.send(t, "GET", "/api/v1/reminders", nil).want(t, 200).into(t, &page); page.Matched != 1 {
		t.Fatalf("still open: %+v", page)
	}
	desk := s.send(t, "GET", "/day", nil).want(t, 200)
	if !strings.Contains(string(desk.body), "To see to") || !strings.Contains(string(desk.body), "truck test") || strings.Contains(string(desk.body), "first aid") {
		t.Errorf("the desk shows\n%s", desk.body)
	}
	s.post(t, "/day/reminders/"+itoa(page.Items[0].ID), "note=booked").want(t, http.StatusSeeOther)
	s.post(t, "/day/reminders/x", "note=booked").want(t, http.StatusNotFound)
	if desk = s.send(t, "GET", "/day", nil).want(t, 200); strings.Contains(string(desk.body), "To see to") {
		t.Errorf("after both are done the desk shows\n%s", desk.body)
	}
	s.send(t, "POST", "/api/v1/reminders/999999/done", map[string]any{}).want(t, http.StatusNotFound)
}
