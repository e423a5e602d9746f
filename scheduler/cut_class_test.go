package scheduler

import (
	"strings"
	"testing"
)

func TestSeasonTouches(t *testing.T) {
	cases := []struct {
		name string
		s    Season
		yes  []WorkKind
		no   []WorkKind
	}{
		{"nothing named", Season{}, []WorkKind{Training, RoadClearance, FirstLook}, []WorkKind{Removal, MakeSafe, StumpGrinding, Inspection}},
		{"kinds", Season{Kinds: []WorkKind{Training}}, []WorkKind{Training, FirstLook}, []WorkKind{RoadClearance, Removal}},
		{"a removal by name", Season{Kinds: []WorkKind{Removal}}, []WorkKind{Removal}, []WorkKind{Training, FirstLook}},
		{"live", Season{Cuts: []CutClass{CutLive}}, []WorkKind{Training, FirstLook}, []WorkKind{Removal, MakeSafe}},
		{"dead", Season{Cuts: []CutClass{CutDead}}, []WorkKind{Removal}, []WorkKind{Training, MakeSafe}},
		{"all", Season{Cuts: []CutClass{CutLive, CutDead, CutEmergency}}, []WorkKind{Training, Removal, MakeSafe}, []WorkKind{StumpGrinding, Inspection}},
		{"some live, and dead", Season{Cuts: []CutClass{CutLive, CutDead}, Kinds: []WorkKind{Training}}, []WorkKind{Training, FirstLook, Removal}, []WorkKind{RoadClearance, MakeSafe}},
	}
	for _, tc := range cases {
		for _, k := range tc.yes {
			if !tc.s.Touches(k) {
				t.Errorf("%s: does not touch %s", tc.name, k)
			}
		}
		for _, k := range tc.no {
			if tc.s.Touches(k) {
				t.Errorf("%s: touches %s", tc.name, k)
			}
		}
	}
}

// An emergency cut in a closed season needs a named approver, and the wound of
// an oak is painted at once (common practice).
func TestEmergencyInAClosedSeason(t *testing.T) {
	oak := Season{Kind: SeasonClosed, From: MonthDay{4, 1}, To: MonthDay{7, 31}, Groups: []string{"oak"}, Authority: "Wisconsin DNR"}
	all := Season{Kind: SeasonClosed, From: MonthDay{3, 1}, To: MonthDay{8, 31}, Cuts: []CutClass{CutEmergency}, Authority: "the agency"}
	nest := Season{Kind: SeasonCheckFirst, From: MonthDay{1, 1}, To: MonthDay{12, 31}, Authority: "an act"}
	for _, tc := range []struct {
		rules       []Season
		group       string
		month       int
		says, never string
	}{
		{[]Season{nest, oak}, "oak", 7, "Closed season (Wisconsin DNR): an emergency cut needs a named approver", "agency"},
		{[]Season{nest, oak}, "oak", 7, "paint the wound at once.", "agency"},
		{[]Season{oak, all}, "oak", 7, "the agency", "Wisconsin"}, // the rule on emergencies comes first
		{[]Season{all}, "elm", 7, "a named approver; write the name down. Cut no more than makes it safe.", "paint"},
	} {
		r := SeasonRules{Special: tc.rules}
		got := r.Approval(tc.group, day(2027, 7, 1))
		if !strings.Contains(got, tc.says) || strings.Contains(got, tc.never) {
			t.Errorf("%s: %q, want %q", tc.group, got, tc.says)
		}
	}
	r := SeasonRules{Special: []Season{nest, oak}}
	if got := r.Approval("oak", day(2027, 8, 1)); got != "" {
		t.Errorf("open, and %q", got)
	}
	if got := r.Approval("maple", day(2027, 7, 1)); got != "" {
		t.Errorf("another group, and %q", got)
	}
}
