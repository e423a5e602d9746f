package scheduler

import (
	"testing"
	"time"
)

func TestClosedOn(t *testing.T) {
	rules := SeasonRules{Special: []Season{
		{Kind: SeasonClosed, From: MonthDay{4, 1}, To: MonthDay{7, 31}, Groups: []string{"oak"}, Kinds: []WorkKind{Training, RoadClearance}},
		{Kind: SeasonClosed, From: MonthDay{11, 15}, To: MonthDay{1, 31}, Groups: []string{"crosses"}},
		{Kind: SeasonAllowed, From: MonthDay{10, 15}, To: MonthDay{3, 1}, Groups: []string{"only"}, Kinds: []WorkKind{Training}},
		{Kind: SeasonCheckFirst, From: MonthDay{1, 1}, To: MonthDay{12, 31}},
	}}
	for _, c := range []struct {
		group string
		kind  WorkKind
		month time.Month
		day   int
		want  bool
	}{
		{"oak", Training, time.March, 31, false},
		{"oak", Training, time.April, 1, true},
		{"oak", Training, time.July, 31, true},
		{"oak", Training, time.August, 1, false},
		{"oak", FirstLook, time.May, 1, true},
		{"oak", MakeSafe, time.May, 1, false},
		{"elm", Training, time.May, 1, false},
		{"crosses", RotationPrune, time.December, 24, true},
		{"crosses", RotationPrune, time.January, 31, true},
		{"crosses", RotationPrune, time.February, 1, false},
		{"crosses", Removal, time.December, 24, false},
		{"only", Training, time.October, 14, true},
		{"only", Training, time.October, 15, false},
		{"only", Training, time.March, 1, false},
		{"only", Training, time.March, 2, true},
		{"only", Removal, time.June, 2, false},
	} {
		if got := rules.ClosedOn(c.group, []WorkKind{Inspection, c.kind}, NewDate(2027, c.month, c.day)); got != c.want {
			t.Errorf("%s, %s on %s %d: closed %v, want %v", c.group, c.kind, c.month, c.day, got, c.want)
		}
	}
}
