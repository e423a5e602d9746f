package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"limbround/scheduler"
)

type page[T any] struct {
	Items    []T    `json:"items"`
	Matched  int    `json:"numberMatched"`
	Returned int    `json:"numberReturned"`
	Next     string `json:"next"`
}

func TestEveryRouteNeedsATokenButHealth(t *testing.T) {
	s := newSite(t)
	for _, path := range []string{"/healthz", "/readyz", "/metrics", "/signin", "/static/desk.css"} {
		s.send(t, "GET", path, nil, "Authorization", "").want(t, 200)
	}
	for _, path := range []string{"/api/v1/trees", "/api/v1/openapi.json", "/api/v1/overdue"} {
		a := s.send(t, "GET", path, nil, "Authorization", "Bearer nonsense").want(t, 401)
		if a.Header.Get("Content-Type") != "application/problem+json" || a.Header.Get("WWW-Authenticate") == "" {
			t.Errorf("%s: headers %v", path, a.Header)
		}
	}
	a := s.send(t, "GET", "/cycle", nil, "Authorization", "", "Accept", "text/html").want(t, 303)
	if a.Header.Get("Location") != "/signin" {
		t.Errorf("a browser is sent to %q", a.Header.Get("Location"))
	}
	s.send(t, "POST", "/api/v1/due-passes", map[string]any{}, "Authorization", "Bearer "+s.analyst).want(t, 403)
	s.send(t, "POST", "/api/v1/due-passes", map[string]any{}, "Sec-Fetch-Site", "cross-site").want(t, 403)
}

func TestProblemsHaveBodies(t *testing.T) {
	s := newSite(t)
	for _, tc := range []struct {
		method, path string
		body         any
		header       []string
		status       int
		says         string
	}{
		{"GET", "/api/v1/nothing", nil, nil, 404, "Nothing is at"},
		{"PUT", "/api/v1/trees", nil, nil, 405, "not possible"},
		{"GET", "/api/v1/trees/99999", nil, nil, 404, "there is none"},
		{"GET", "/api/v1/trees?colour=red", nil, nil, 422, "colour"},
		{"GET", "/api/v1/trees?limit=0", nil, nil, 422, "limit"},
		{"GET", "/api/v1/trees?state=happy", nil, nil, 422, "state"},
		{"GET", "/api/v1/visits?latest_before=tomorrow", nil, nil, 422, "latest_before"},
		{"GET", "/api/v1/growth?region=Nowhere&species=ACRU&age=5", nil, nil, 422, "Nowhere"},
		{"GET", "/api/v1/growth?region=LoMidW&species=ACRU&age=5&years=500", nil, nil, 422, "years"},
		{"POST", "/api/v1/plans", map[string]any{"year": "soon"}, nil, 422, "year"},
		{"POST", "/api/v1/packets/1/state", map[string]any{"state": "issued"}, nil, 428, "If-Match"},
		{"POST", "/api/v1/packets/1/state", map[string]any{"state": "issued"}, []string{"If-Match", "3"}, 422, "entity tag"},
		{"GET", "/api/v1/packets?from=2026-12-10&to=2026-12-01", nil, nil, 422, "to"},
	} {
		a := s.send(t, tc.method, tc.path, tc.body, tc.header...)
		if a.StatusCode != tc.status || !strings.Contains(string(a.body), tc.says) || a.Header.Get("Content-Type") != "application/problem+json" {
			t.Errorf("%s %s: %d %s %s; want %d saying %q", tc.method, tc.path, a.StatusCode, a.Header.Get("Content-Type"), a.body, tc.status, tc.says)
		}
	}
}

func TestPagesJoinToTheWhole(t *testing.T) {
	s := newSite(t)
	path, seen := "/api/v1/trees?limit=7&species=ACRU", map[int64]bool{}
	matched := 0
	for pages := 0; path != ""; pages++ {
		if pages > 10 {
			t.Fatal("the next links go round")
		}
		var p page[scheduler.TreeSite]
		s.send(t, "GET", path, nil).want(t, 200).into(t, &p)
		if p.Returned != len(p.Items) {
			t.Errorf("says %d returned, has %d", p.Returned, len(p.Items))
		}
		for _, x := range p.Items {
			if seen[x.Tree.ID] {
				t.Errorf("tree %d twice", x.Tree.ID)
			}
			seen[x.Tree.ID] = true
		}
		matched, path = p.Matched, p.Next
	}
	if len(seen) != matched || matched != 29 {
		t.Errorf("%d trees on the pages, %d match, 29 were imported", len(seen), matched)
	}
}

func TestHeadAndCompression(t *testing.T) {
	s := newSite(t)
	a := s.send(t, "HEAD", "/api/v1/trees", nil).want(t, 200)
	if len(a.body) != 0 {
		t.Errorf("HEAD has a body of %d bytes", len(a.body))
	}
	a = s.send(t, "GET", "/api/v1/trees", nil, "Accept-Encoding", "gzip").want(t, 200)
	if a.Header.Get("Content-Encoding") != "gzip" {
		t.Error("a long answer is not compressed")
	}
}

func TestCalendarAndReasons(t *testing.T) {
	s := newSite(t)
	var p page[scheduler.TreeSite]
	s.send(t, "GET", "/api/v1/trees?q=T-001", nil).want(t, 200).into(t, &p)
	if len(p.Items) != 1 {
		t.Fatalf("%d trees T-001", len(p.Items))
	}
	var c struct {
		Visits []scheduler.Visit `json:"visits"`
	}
	s.send(t, "GET", fmt.Sprintf("/api/v1/trees/%d/calendar?years=15", p.Items[0].Tree.ID), nil).want(t, 200).into(t, &c)
	if len(c.Visits) < 2 {
		t.Fatalf("%d trips in 15 years", len(c.Visits))
	}
	for _, v := range c.Visits {
		if len(v.Reasons) == 0 || v.Reasons[0].Text == "" || v.Reasons[0].Source == "" {
			t.Errorf("visit due %s has no reason with a source", v.Window.Due)
		}
	}
}

// The document that describes the API is valid, and asks for no page elsewhere.
func TestOpenAPIDocumentIsValid(t *testing.T) {
	s := newSite(t)
	a := s.send(t, "GET", "/api/v1/openapi.json", nil).want(t, 200)
	doc, err := openapi3.NewLoader().LoadFromData(a.body)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(doc.OpenAPI, "3.1") {
		t.Errorf("document says OpenAPI %s", doc.OpenAPI)
	}
	if n := doc.Paths.Len(); n < 20 {
		t.Errorf("only %d paths", n)
	}
	if strings.Contains(string(a.body), "$schema") {
		t.Error("bodies carry $schema")
	}
	s.send(t, "GET", "/docs", nil).want(t, http.StatusNotFound)
}
