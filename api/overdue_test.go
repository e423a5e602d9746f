package api_test

import (
	"net/http"
	"strings"
	"testing"

	"limbround/scheduler"
)

// The analyst looks back to a night, through the business API and on the desk.
func TestOverdueOnAPastNight(t *testing.T) {
	s := newSite(t)
	var live, night scheduler.OverdueTable
	s.send(t, "GET", "/api/v1/overdue", nil).want(t, 200).into(t, &live)
	var nights page[scheduler.OverdueNight]
	s.send(t, "GET", "/api/v1/overdue/nights", nil).want(t, 200).into(t, &nights)
	if len(nights.Items) != 1 || nights.Items[0].Night != live.AsOf || nights.Items[0].Late != live.Total.Late {
		t.Fatalf("nights %+v, the table is of %s", nights.Items, live.AsOf)
	}
	at := "?night=" + live.AsOf.String()
	s.send(t, "GET", "/api/v1/overdue"+at, nil).want(t, 200).into(t, &night)
	if night.AsOf != live.AsOf || night.PolicyID == 0 || night.Total.Trees != live.Total.Trees || len(night.Rows) != len(live.Rows) || night.Rows[0].Version != 1 {
		t.Errorf("the night's table is %+v, the live one %+v", night, live)
	}
	s.send(t, "GET", "/api/v1/overdue?night=2020-02-02", nil).want(t, http.StatusNotFound)
	s.send(t, "GET", "/api/v1/overdue?night=yesterday", nil).want(t, http.StatusUnprocessableEntity)
	for path, says := range map[string]string{"/map": "as of " + live.AsOf.String(), "/map" + at: "as it was on the night of " + live.AsOf.String()} {
		if a := s.send(t, "GET", path, nil).want(t, 200); !strings.Contains(string(a.body), says) {
			t.Errorf("%s does not say %q", path, says)
		}
	}
	s.send(t, "GET", "/map?night=2020-02-02", nil).want(t, http.StatusNotFound)
}
