package scheduler

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func visitOn(k WorkKind, due, latest string, s VisitState) Visit {
	d, _ := ParseDate(due)
	l, _ := ParseDate(latest)
	return Visit{Kind: k, Kinds: []WorkKind{k}, Window: Window{Earliest: d, Due: d, Latest: l}, State: s}
}

func TestDiffRules(t *testing.T) {
	in := DueInput{Tree: Tree{Ref: "PL-1"}, Site: Site{District: "north"}}
	before := []Visit{
		visitOn(Training, "2028-11-01", "2029-03-31", Upcoming),
		visitOn(RoadClearance, "2027-01-10", "2027-02-21", Due),
		visitOn(WalkClearance, "2027-01-10", "2027-02-21", Due),
		visitOn(Inspection, "2027-01-10", "2027-02-21", Due),
		visitOn(Removal, "2027-01-10", "2027-02-21", Due),
	}
	after := []Visit{
		visitOn(Training, "2026-11-01", "2027-03-31", Due),            // two seasons earlier
		visitOn(RoadClearance, "2027-01-10", "2027-03-21", Due),       // its last day alone, a month later
		visitOn(WalkClearance, "2027-01-10", "2027-02-21", Overdue),   // its state alone
		visitOn(SightClearance, "2027-06-01", "2027-07-13", Upcoming), // new
		visitOn(Removal, "2027-01-10", "2027-02-21", Due),             // as it was
	}
	d := func(s string) Date { x, _ := ParseDate(s); return x }
	want := []VisitShift{
		{"PL-1", "north", Training, MoveEarlier, d("2028-11-01"), d("2026-11-01"), -731, -2, Upcoming, Due},
		{"PL-1", "north", RoadClearance, MoveLater, d("2027-01-10"), d("2027-01-10"), 28, 0, Due, Due},
		{"PL-1", "north", WalkClearance, MoveState, d("2027-01-10"), d("2027-01-10"), 0, 0, Due, Overdue},
		{"PL-1", "north", SightClearance, MoveNew, 0, d("2027-06-01"), 0, 0, "", Upcoming},
		{"PL-1", "north", Inspection, MoveWithdrawn, d("2027-01-10"), 0, 0, 0, Due, ""},
	}
	if diff := cmp.Diff(want, DiffRules(&in, before, after, MonthSpan{})); diff != "" {
		t.Errorf("shifts (-want +got):\n%s", diff)
	}
}

func TestPreviewWords(t *testing.T) {
	many := func(n int, s VisitShift) []VisitShift {
		list := make([]VisitShift, n)
		for i := range list {
			list[i] = s
		}
		return list
	}
	season := func(m VisitMove, seasons, days int) VisitShift {
		return VisitShift{Kind: Training, Move: m, Seasons: seasons, Days: days, StateBefore: Upcoming, StateAfter: Upcoming}
	}
	for _, c := range []struct {
		shifts [][]VisitShift
		want   string
	}{
		{nil, "No visit of 12,000 trees moves."},
		{
			[][]VisitShift{
				many(4210, season(MoveEarlier, -1, -365)), many(2, season(MoveEarlier, -4, -1461)), many(310, season(MoveLater, 0, 16)),
				many(12, VisitShift{Kind: RoadClearance, Move: MoveNew, StateAfter: Due}), many(7, VisitShift{Kind: Training, Move: MoveState, StateBefore: Due, StateAfter: Overdue}),
			},
			"4,212 visits earlier, by 1 growing season at the median, 4 growing seasons at most; " +
				"310 visits later, within one growing season at the median (16 days); 12 new; 0 withdrawn; 7 in another state.",
		},
		{
			[][]VisitShift{many(1, season(MoveLater, 2, 730))},
			"0 visits earlier; 1 visit later, by 2 growing seasons at the median; 0 new; 0 withdrawn; 0 in another state.",
		},
	} {
		var tally ShiftTally
		for _, list := range c.shifts {
			for i := range list {
				tally.Add(&list[i])
			}
		}
		p := PolicyPreview{Trees: 12_000}
		tally.Fill(&p)
		if p.Words != c.want {
			t.Errorf("it says\n%s\nwant\n%s", p.Words, c.want)
		}
	}
}

func TestMiddle(t *testing.T) {
	for _, c := range []struct {
		count        map[int]int
		median, most int
	}{
		{nil, 0, 0},
		{map[int]int{3: 1}, 3, 3},
		{map[int]int{1: 1, 2: 1}, 1, 2}, // the lower one of two
		{map[int]int{1: 2, 5: 3, 9: 1}, 5, 9},
	} {
		if median, most := middle(c.count); median != c.median || most != c.most {
			t.Errorf("%v: median %d, most %d; want %d, %d", c.count, median, most, c.median, c.most)
		}
	}
}
