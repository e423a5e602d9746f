package jobs

import (
	"slices"
	"strings"
	"testing"
	"time"

	"limbround/scheduler"
)

// Work that makes safe in a closed season asks for a named approver; a site check does not.
func TestEmergencyNeedsAnApprover(t *testing.T) {
	text, err := scheduler.Preset("northeast")
	if err != nil {
		t.Fatal(err)
	}
	p, err := scheduler.ParsePolicy(text)
	if err != nil {
		t.Fatal(err)
	}
	species, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	r := recordRules{policy: p}
	for _, tc := range []struct {
		species string
		month   time.Month
		want    string
	}{{"QUPA", time.May, "paint the wound"}, {"ULAM", time.May, "named approver"}, {"QUPA", time.January, ""}, {"ACRU", time.May, ""}} {
		on := scheduler.NewDate(2027, tc.month, 10)
		opens := []scheduler.OpenedVisit{
			{Visit: scheduler.Visit{Kind: scheduler.Inspection, Window: scheduler.Window{Due: on}}},
			{Visit: scheduler.Visit{Kind: scheduler.MakeSafe, Window: scheduler.Window{Due: on}}},
		}
		i := slices.IndexFunc(species, func(s scheduler.Species) bool { return s.Code == tc.species })
		r.approval(opens, &scheduler.RecordInput{Species: &species[i]})
		got := strings.Join(opens[1].Visit.Cautions, "\n")
		if len(opens[0].Visit.Cautions) > 0 || (tc.want == "") != (got == "") || !strings.Contains(got, tc.want) {
			t.Errorf("%s in %s: %q", tc.species, tc.month, got)
		}
	}
}
