package api_test

import (
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"testing"

	"limbround/scheduler"
)

// postPolicy sends a policy file to a route below /policies.
func (s *site) postPolicy(t *testing.T, path, text, token string) *answer {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), "POST", s.URL+"/api/v1/policies"+path, strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+token)
	req.Header.Set("Content-Type", "application/yaml")
	res, err := s.Client().Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return &answer{Response: res, body: body}
}

func TestPolicyPreview(t *testing.T) {
	s := newSite(t)
	preset := func(name string) string {
		src, err := scheduler.Preset(name)
		if err != nil {
			t.Fatal(err)
		}
		return string(src)
	}
	var p scheduler.PolicyPreview
	s.postPolicy(t, "/preview", preset("lower-midwest"), s.manager).want(t, 200).into(t, &p)
	if p.Trees != 30 || p.Looked != 0 || p.Words != "No visit of 30 trees moves." {
		t.Errorf("the policy in force: %+v", p)
	}
	a := s.postPolicy(t, "/preview", preset("central-florida"), s.manager).want(t, 200)
	a.into(t, &p)
	if p.Looked != 30 || p.Earlier+p.Later == 0 || len(p.ByKind) == 0 || len(p.ByDistrict) != 1 || p.ByDistrict[0].District != "D1" {
		t.Errorf("another region: %s", a.body)
	}
	var fields map[string]json.RawMessage
	a.into(t, &fields)
	for _, f := range strings.Fields("policy policy_before as_of trees looked earlier later new withdrawn other_state earlier_by later_by states by_kind by_district words") {
		if _, ok := fields[f]; !ok {
			t.Errorf("the answer has no field %q", f)
		}
	}
	s.postPolicy(t, "/preview", "name: [broken", s.manager).want(t, http.StatusUnprocessableEntity)
	s.postPolicy(t, "/preview", preset("iowa"), s.analyst).want(t, http.StatusForbidden)
	var versions page[scheduler.Policy]
	s.send(t, "GET", "/api/v1/policies", nil).want(t, 200).into(t, &versions)
	if len(versions.Items) != 1 {
		t.Errorf("%d versions after previews", len(versions.Items))
	}
}
