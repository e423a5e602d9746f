package api_test

import (
	"net/http"
	"testing"
	"time"

	"limbround/scheduler"
)

// A dose of 60 % departs from every table of EP276 (at most 40 %): the record
// is taken, and the log says so. The manager adds an entry; the analyst reads.
func TestDeviations(t *testing.T) {
	s := newSite(t)
	trees, _, err := s.store.TreeList(t.Context(), scheduler.TreeFilter{}, 0, 2)
	if err != nil {
		t.Fatal(err)
	}
	rec := scheduler.WorkRecord{
		ID: "7c0e8f10-0000-4000-8000-000000000001", TreeID: trees[1].Tree.ID, By: "R. Osei", Start: noon.Add(-time.Hour), Finish: noon,
		Kinds: []scheduler.WorkKind{scheduler.Training}, Outcome: scheduler.OutcomeDone, LiveCrown: 60, ApprovedBy: "M. Ito",
	}
	s.send(t, "POST", "/api/v1/records", rec).want(t, http.StatusCreated)
	s.send(t, "POST", "/api/v1/records", rec)
	own := map[string]any{"rule": "other", "why": "the street is closed for a festival", "approved_by": "M. Ito"}
	var d scheduler.Deviation
	s.send(t, "POST", "/api/v1/deviations", own).want(t, http.StatusCreated).into(t, &d)
	if d.ID == 0 || d.PolicyID == 0 || d.On != scheduler.DateOf(noon) || d.Actor != "manager" {
		t.Errorf("the manager's entry: %+v", d)
	}
	s.send(t, "POST", "/api/v1/deviations", map[string]any{"rule": "other", "approved_by": "M. Ito"}).want(t, http.StatusUnprocessableEntity)
	s.send(t, "POST", "/api/v1/deviations", map[string]any{"rule": "haste", "why": "x", "approved_by": "M. Ito"}).want(t, http.StatusUnprocessableEntity)
	var log page[scheduler.Deviation]
	s.send(t, "GET", "/api/v1/deviations?limit=1", nil).want(t, 200).into(t, &log)
	if log.Matched != 2 || len(log.Items) != 1 || log.Items[0].Rule != scheduler.DeviationDose || log.Items[0].RecordID != rec.ID || log.Items[0].ApprovedBy != "M. Ito" || log.Next == "" {
		t.Fatalf("log %+v", log)
	}
	s.send(t, "GET", log.Next, nil).want(t, 200).into(t, &log)
	if len(log.Items) != 1 || log.Items[0].ID != d.ID {
		t.Errorf("second page %+v", log)
	}
	s.send(t, "GET", "/api/v1/deviations?since=2027-01-01", nil).want(t, 200).into(t, &log)
	if log.Matched != 0 {
		t.Errorf("since next year: %+v", log)
	}
	s.send(t, "GET", "/api/v1/deviations?since=soon", nil).want(t, http.StatusUnprocessableEntity)
}
