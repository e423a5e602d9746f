package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// planned runs the loop up to draft packets for the first week of December.
func planned(t *testing.T, s *site) []scheduler.Packet {
	t.Helper()
	plan, err := jobs.Plan{Store: s.store, Now: now}.Run(t.Context(), jobs.PlanRequest{Year: 2026, Actor: "test"})
	if err != nil {
		t.Fatal(err)
	}
	path := fmt.Sprintf("/api/v1/plans/%d", plan.Plan)
	got := s.send(t, "GET", path, nil).want(t, 200)
	tag := got.Header.Get("ETag")
	s.send(t, "POST", path+"/adopt", nil, "If-Match", `"99"`).want(t, http.StatusPreconditionFailed)
	s.send(t, "POST", path+"/adopt", nil, "If-Match", tag).want(t, 200)
	s.send(t, "POST", path+"/adopt", nil, "If-Match", tag).want(t, http.StatusPreconditionFailed)
	if _, err := (jobs.Pack{Store: s.store, Now: now}).Run(t.Context(), jobs.PackRequest{From: scheduler.NewDate(2026, 12, 1), Days: 4, Replace: true, Iterations: 50, Actor: "test"}); err != nil {
		t.Fatal(err)
	}
	var p page[scheduler.Packet]
	s.send(t, "GET", "/api/v1/packets?from=2026-12-01&to=2026-12-04", nil).want(t, 200).into(t, &p)
	if len(p.Items) == 0 {
		t.Fatal("no packet was built")
	}
	return p.Items
}

func firstTree(t *testing.T, p scheduler.Packet) scheduler.Stop {
	t.Helper()
	for _, st := range p.Stops {
		if st.Kind == scheduler.StopTree {
			return st
		}
	}
	t.Fatalf("packet %d has no tree", p.ID)
	return scheduler.Stop{}
}

func TestPacketIsEditedOnlyFromItsNewestRevision(t *testing.T) {
	s := newSite(t)
	p := planned(t, s)[0]
	path := fmt.Sprintf("/api/v1/packets/%d", p.ID)
	tag := s.send(t, "GET", path, nil).want(t, 200).Header.Get("ETag")
	stop := firstTree(t, p)
	edit := fmt.Sprintf("%s/stops/%d", path, stop.ID)

	s.send(t, "PATCH", edit, map[string]any{"locked": true}).want(t, http.StatusPreconditionRequired)
	a := s.send(t, "PATCH", edit, map[string]any{"locked": true}, "If-Match", tag).want(t, 200)
	newer := a.Header.Get("ETag")
	if newer == tag {
		t.Fatal("an edit keeps the entity tag")
	}
	s.send(t, "PATCH", edit, map[string]any{"locked": false}, "If-Match", tag).want(t, http.StatusPreconditionFailed)
	s.send(t, "DELETE", edit, nil, "If-Match", newer).want(t, http.StatusConflict) // it is locked
	a = s.send(t, "PATCH", edit, map[string]any{"locked": false}, "If-Match", newer).want(t, 200)
	a = s.send(t, "DELETE", edit, nil, "If-Match", a.Header.Get("ETag")).want(t, 200)
	var after scheduler.Packet
	a.into(t, &after)
	for _, st := range after.Stops {
		if st.VisitID == stop.VisitID {
			t.Error("the stop is still there")
		}
	}
	s.send(t, "POST", path+"/state", map[string]any{"state": "completed"}, "If-Match", a.Header.Get("ETag")).want(t, http.StatusConflict)
	s.send(t, "POST", path+"/state", map[string]any{"state": "issued"}, "If-Match", a.Header.Get("ETag")).want(t, 200)
}

func TestRecordSentTwiceIsOneRecord(t *testing.T) {
	s := newSite(t)
	p := planned(t, s)[0]
	stop := firstTree(t, p)
	v, err := s.store.Visit(t.Context(), stop.VisitID)
	if err != nil {
		t.Fatal(err)
	}
	rec := map[string]any{
		"id": "0b54b7f0-6a4e-4f0b-9d7e-1f1a3c1e5a01", "visit_id": v.ID, "tree_id": v.TreeID, "packet_id": p.ID, "by": "A. Leader",
		"start": noon.Add(-10 * time.Minute), "finish": noon, "kinds": v.Kinds, "outcome": "done",
		"watch": []map[string]any{{"what": "competing leader", "height_mm": 1800, "side": "up_street", "diameter_mm": 56, "stem_diameter_mm": 70, "included_bark": true, "done": "reduced by half", "reduced": true, "intent": "hold_as_lower_tier"}},
	}
	first := s.send(t, "POST", "/api/v1/records", rec).want(t, http.StatusCreated)
	var ans scheduler.RecordAnswer
	first.into(t, &ans)
	if len(ans.Closed) == 0 || len(ans.Watch) != 1 || ans.Watch[0].Letter != "A" {
		t.Errorf("answer %+v: want the visit closed and watch item A", ans)
	}
	again := s.send(t, "POST", "/api/v1/records", rec).want(t, http.StatusOK)
	if string(first.body) != string(again.body) {
		t.Errorf("first answer %s\nsecond %s", first.body, again.body)
	}
	rec["live_crown_pct"] = 20
	s.send(t, "POST", "/api/v1/records", rec).want(t, http.StatusConflict)
	rec["id"], rec["outcome"], rec["by"], rec["found"] = "not-a-uuid", "not_done", "", "stump"
	a := s.send(t, "POST", "/api/v1/records", rec).want(t, http.StatusUnprocessableEntity)
	for _, field := range []string{"id", "by", "could_not", "found"} {
		if !strings.Contains(string(a.body), `"location":"`+field) {
			t.Errorf("fault of %s is not named: %s", field, a.body)
		}
	}
	var h struct {
		Records []scheduler.WorkEntry `json:"records"`
	}
	s.send(t, "GET", fmt.Sprintf("/api/v1/trees/%d/history", v.TreeID), nil).want(t, 200).into(t, &h)
	if len(h.Records) != 1 {
		t.Errorf("%d records, want 1", len(h.Records))
	}
}

func TestJobsAreQueuedWithAPlaceToAsk(t *testing.T) {
	s := newSite(t)
	a := s.send(t, "POST", "/api/v1/due-passes", map[string]any{"as_of": "2026-12-05"}).want(t, http.StatusAccepted)
	var st scheduler.JobStatus
	s.send(t, "GET", a.Header.Get("Location"), nil).want(t, 200).into(t, &st)
	if st.Kind != "due" || st.Finished() {
		t.Errorf("job %+v", st)
	}
	s.send(t, "POST", "/api/v1/packets", map[string]any{"from": "2026-12-01", "days": 5}).want(t, http.StatusAccepted)
	s.send(t, "POST", "/api/v1/plans", map[string]any{"year": 2027}).want(t, http.StatusAccepted)
	s.send(t, "GET", "/api/v1/jobs/999999", nil).want(t, http.StatusNotFound)
}

func TestPolicyIsAdoptedFromItsText(t *testing.T) {
	s := newSite(t)
	src, err := scheduler.Preset("lower-midwest")
	if err != nil {
		t.Fatal(err)
	}
	post := func(text string, header ...string) *answer {
		req, err := http.NewRequestWithContext(t.Context(), "POST", s.URL+"/api/v1/policies", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Authorization", "Bearer "+s.manager)
		req.Header.Set("Content-Type", "application/yaml")
		res, err := s.Client().Do(req)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		return &answer{Response: res}
	}
	post(string(src)).want(t, http.StatusCreated)
	post("name: [broken").want(t, http.StatusUnprocessableEntity)
	var p scheduler.Policy
	s.send(t, "GET", "/api/v1/policies/current", nil).want(t, 200).into(t, &p)
	if p.Region == "" {
		t.Error("the policy in force has no climate region")
	}
}

func TestDeskPagesShowTheLoop(t *testing.T) {
	s := newSite(t)
	p := planned(t, s)[0]
	stop := firstTree(t, p)
	v, err := s.store.Visit(t.Context(), stop.VisitID)
	if err != nil {
		t.Fatal(err)
	}
	for path, says := range map[string]string{
		"/cycle": "Annual plans", "/day?from=2026-12-01&days=4": "minutes by kind", "/map": "Millside",
		fmt.Sprintf("/packets/%d", p.ID): "Print the packet", fmt.Sprintf("/packets/%d/sheet", p.ID): "Before the first cut",
		fmt.Sprintf("/trees/%d", v.TreeID): "Calendar", "/card": "Card", fmt.Sprintf("/card/%d", v.ID): "Record the work",
	} {
		a := s.send(t, "GET", path, nil, "Accept", "text/html").want(t, 200)
		if !strings.Contains(string(a.body), says) {
			t.Errorf("%s does not say %q", path, says)
		}
		for _, bad := range []string{"http://", "https://", "<no value>", "ZgotmplZ"} {
			if strings.Contains(strings.ReplaceAll(string(a.body), s.URL, ""), bad) {
				t.Errorf("%s contains %q", path, bad)
			}
		}
	}
	for _, path := range []string{"/packets/0", "/trees/none", "/card/999999"} {
		s.send(t, "GET", path, nil, "Accept", "text/html").want(t, 404)
	}
}
