package api_test

import (
	"fmt"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/due"
	"limbround/scheduler/jobs"
)

// A stem that a record left as lower tier is asked about by its letter; who
// only reads may ask.
func TestAdviceOnAWatchItemAndOnABranch(t *testing.T) {
	s := newSite(t)
	var p page[scheduler.TreeSite]
	s.send(t, "GET", "/api/v1/trees?q=T-001", nil).want(t, 200).into(t, &p)
	id := p.Items[0].Tree.ID
	s.send(t, "POST", "/api/v1/records", map[string]any{
		"id": "7d0e4f6e-8d53-4c5f-9d2c-3f9b8a6a1c01", "tree_id": id, "by": "A. Leader", "start": "2026-11-23T14:00:00Z", "finish": "2026-11-23T14:06:00Z",
		"kinds": []string{"training"}, "outcome": "done", "live_crown_pct": 15, "vigour": "good",
		"watch": []map[string]any{{
			"what": "competing leader", "height_mm": 1800, "side": "road", "diameter_mm": 56, "stem_diameter_mm": 70, "included_bark": true,
			"done": "reduced by half", "reduced": true, "intent": "hold_as_lower_tier",
		}},
	}).want(t, 201)

	path := fmt.Sprintf("/api/v1/trees/%d/watch/A/advise", id)
	var got jobs.AdviseResult
	s.send(t, "GET", path+"?on=2028-02-10", nil).want(t, 200).into(t, &got)
	if got.Advice.Advice != due.HoldStem || got.Ask != due.AskSupervisor || got.Letter != "A" || got.CutNow <= 56 || got.DoseLeft != 25 || got.Foot == "" {
		t.Errorf("%+v", got)
	}
	s.send(t, "GET", path+"?on=2026-11-26", nil).want(t, 200).into(t, &got)
	if got.DoseUsed != 15 || got.DoseLeft != 10 || got.Take != 0 {
		t.Errorf("the winter of the record: %+v", got)
	}
	s.send(t, "GET", strings.Replace(path, "/A/", "/B/", 1), nil).want(t, 404)
	s.send(t, "GET", strings.Replace(path, "/A/", "/a/", 1), nil).want(t, 422)

	body := map[string]any{
		"species": "red maple", "dbh_mm": 120, "vigour": "good", "stage": "leader",
		"branch": map[string]any{"role": "crossing", "on": "2027-01-15", "diameter_mm": 20, "stem_diameter_mm": 70, "signs": []string{}},
	}
	s.send(t, "POST", "/api/v1/advise", body, "Authorization", "Bearer "+s.analyst).want(t, 200).into(t, &got)
	if got.Advice.Advice != due.Remove || !got.Today || got.CutNow != 20 || got.CutNext <= 20 || got.Species != "Acer rubrum" || got.CutNext == geo.None {
		t.Errorf("%+v", got)
	}
	body["branch"].(map[string]any)["signs"] = []string{"hanger"}
	s.send(t, "POST", "/api/v1/advise", body).want(t, 200).into(t, &got)
	if got.Advice.Advice != due.Stop || len(got.Call) != 1 {
		t.Errorf("%+v", got)
	}
	body["branch"] = map[string]any{"role": "twig"}
	if a := s.send(t, "POST", "/api/v1/advise", body).want(t, 422); !strings.Contains(string(a.body), "basal_sprout") {
		t.Errorf("%s", a.body)
	}
	body["species"] = "elder bush"
	s.send(t, "POST", "/api/v1/advise", body).want(t, 422)
	s.send(t, "POST", "/api/v1/advise", map[string]any{"tree": "T-999", "branch": map[string]any{"role": "stub"}}).want(t, 404)
	s.send(t, "POST", "/api/v1/advise", map[string]any{"tree": "T-001", "brunch": 1}).want(t, 422)
}

func TestRiskMatricesOverHTTP(t *testing.T) {
	s := newSite(t)
	var got scheduler.RiskAnswer
	s.send(t, "GET", "/api/v1/risk?failure=imminent&impact=high&consequence=severe&years=1", nil).want(t, 200).into(t, &got)
	if got.Likelihood != "very likely" || got.Rating != "extreme" || len(got.Limits) < 3 || len(got.Sources) != 2 {
		t.Errorf("%+v", got)
	}
	s.send(t, "GET", "/api/v1/risk?failure=imminent&impact=high&consequence=severe", nil).want(t, 422)
	s.send(t, "GET", "/api/v1/risk?failure=sure&impact=high&consequence=severe&years=1", nil).want(t, 422)
}
