package jobs

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
	"limbround/scheduler/year"
)

func TestNothingLost(t *testing.T) {
	items := []scheduler.PlanItem{{Visit: scheduler.Visit{ID: 1}}, {Visit: scheduler.Visit{ID: 2}}}
	week := scheduler.NewDate(2027, 1, 4)
	for _, c := range []struct {
		name  string
		lines []scheduler.PlanLine
		want  scheduler.Kind
	}{
		{"whole", []scheduler.PlanLine{{VisitID: 2, Week: week}, {VisitID: 1, Carried: "no crew"}}, ""},
		{"lost", []scheduler.PlanLine{{VisitID: 2, Week: week}}, scheduler.Internal},
		{"twice", []scheduler.PlanLine{{VisitID: 2, Week: week}, {VisitID: 2, Week: week}, {VisitID: 1, Week: week}}, scheduler.Internal},
		{"week and reason", []scheduler.PlanLine{{VisitID: 2, Week: week, Carried: "no"}, {VisitID: 1, Week: week}}, scheduler.Internal},
		{"neither", []scheduler.PlanLine{{VisitID: 2}, {VisitID: 1, Week: week}}, scheduler.Internal},
		{"stranger", []scheduler.PlanLine{{VisitID: 3, Week: week}}, scheduler.Internal},
	} {
		if got := scheduler.KindOf(nothingLost(items, c.lines)); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestClosedSpansRunTogether(t *testing.T) {
	rules := scheduler.SeasonRules{Special: []scheduler.Season{
		{Kind: scheduler.SeasonClosed, From: scheduler.MonthDay{Month: 4, Day: 1}, To: scheduler.MonthDay{Month: 7, Day: 31}},
		{Kind: scheduler.SeasonClosed, From: scheduler.MonthDay{Month: 12, Day: 1}, To: scheduler.MonthDay{Month: 1, Day: 10}},
	}}
	d := scheduler.NewDate
	got := closedSpans(&rules, "", []scheduler.WorkKind{scheduler.Training}, d(2027, 1, 1), d(2027, 12, 31))
	want := []year.Span{
		{From: d(2027, 1, 1), To: d(2027, 1, 10)}, {From: d(2027, 4, 1), To: d(2027, 7, 31)}, {From: d(2027, 12, 1), To: d(2027, 12, 31)},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestSummaryGap(t *testing.T) {
	got := summary(&scheduler.Plan{
		Objective: []int64{0, 200, 50}, Bound: []int64{0, 150, 50},
		Lines: []scheduler.PlanLine{{VisitID: 1, Week: 1}, {VisitID: 2, Carried: "held"}, {VisitID: 3, Carried: "held"}},
	})
	if diff := cmp.Diff([]float64{0, 25, 0}, got.GapPct); diff != "" || got.Planned != 1 || got.Carried != 2 || got.Reasons["held"] != 2 {
		t.Errorf("%+v", got)
	}
}
