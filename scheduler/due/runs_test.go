package due

import (
	"strings"
	"testing"

	"limbround/scheduler"
)

// dormantDay: pruning is dormant-season work (common practice), here from
// 1 November to 31 March; counted from the day's own numbers.
func dormantDay(d scheduler.Date) bool {
	m := int(d.Month())
	return m >= 11 || m <= 3
}

// TestRunsOfRoutinePruning holds the runs of a task against a walk over its days.
func TestRunsOfRoutinePruning(t *testing.T) {
	shut := func(from, to scheduler.MonthDay) []scheduler.Season {
		return []scheduler.Season{{Kind: scheduler.SeasonClosed, From: from, To: to}}
	}
	window := scheduler.Window{Earliest: day("2027-11-01"), Due: day("2028-11-01"), Latest: day("2030-03-31")}
	for _, tc := range []struct {
		name   string
		rules  []scheduler.Season
		task   task
		today  string
		winter bool   // dormant days alone
		first  string // first allowed day from the window's begin, or from today
	}{
		{"training", nil, task{kind: scheduler.Training, class: 4}, "2026-11-25", true, "2027-11-01"},
		{"walk side", nil, task{kind: scheduler.WalkClearance, class: 4}, "2026-11-25", true, "2027-11-01"},
		{"rotation, one season over", nil, task{kind: scheduler.RotationPrune, class: 4}, "2028-06-01", true, "2028-11-01"},
		{"closed February to June (Texas A&M Forest Service, oaks)", shut(md(2, 1), md(6, 30)), task{kind: scheduler.Training, class: 4}, "2026-11-25", true, "2027-11-01"},
		{"a hole in the season", shut(md(12, 15), md(1, 15)), task{kind: scheduler.Training, class: 4}, "2026-11-25", true, "2027-11-01"},
		{"the law leaves no dormant day", shut(md(10, 1), md(4, 30)), task{kind: scheduler.Training, class: 4}, "2026-11-25", false, "2028-05-01"},
		{"the law leaves two months after it", []scheduler.Season{{Kind: scheduler.SeasonAllowed, From: md(4, 10), To: md(5, 31)}}, task{kind: scheduler.Restoration, class: 4}, "2026-11-25", false, "2028-04-10"},
		{"legal height", nil, task{kind: scheduler.WalkClearance, class: 2}, "2026-11-25", false, "2027-11-01"},
		{"clean cuts with a date", nil, task{kind: scheduler.Restoration, class: 4, dated: true}, "2026-11-25", false, "2027-11-01"},
		{"sight check", nil, task{kind: scheduler.SightClearance, class: 4}, "2026-11-25", false, "2027-11-01"},
	} {
		e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Seasons.Special = tc.rules })
		tree, site := maple(), apart()
		d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"], today: day(tc.today)}
		d.proj = d.p.curve.Project(tree, 0)
		tc.task.w = window
		o := d.option(&tc.task)
		got := ""
		for on := max(window.Earliest, d.today); on <= window.Latest; on++ {
			want := d.p.closing(tc.task.kind, on) == nil && (!tc.winter || dormantDay(on))
			if o.allows(on) != want {
				t.Errorf("%s: %s allowed %v, want %v", tc.name, on, !want, want)
				break
			}
			if want && got == "" {
				got = on.String()
			}
		}
		if got != tc.first {
			t.Errorf("%s: first day %s, want %s", tc.name, got, tc.first)
		}
	}
}

// A prune past its window waits for the dormant season, unless a crew comes for
// something that cannot wait.
func TestOverduePruningGoesAlongWithUrgentWork(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree, site := maple(), street()
	tree.DBH, tree.Height = 250, 12000
	tree.LastTraining, tree.LastVisit = day("2020-01-10"), day("2020-01-10")
	today := day("2028-06-10")
	d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"], today: today}
	d.proj = d.p.curve.Project(tree, 0)
	late := task{kind: scheduler.Training, class: 4, w: scheduler.Window{Earliest: day("2022-11-01"), Due: day("2022-11-01"), Latest: day("2024-03-31")}}
	d.add(late)
	if o := d.option(&late); o.allows(today) || single(&o).day[0] != day("2028-11-01") {
		t.Errorf("nothing urgent: %+v", o.runs[:o.n])
	}
	d.add(task{kind: scheduler.WalkClearance, class: 2})
	if o := d.option(&late); !o.allows(today) {
		t.Errorf("beside urgent work: %+v", o.runs[:o.n])
	}

	// the whole way: a walk side below the legal height brings the crew in June
	tree.BaseWalk, tree.BaseRoad, tree.BaseOn = 1800, 4600, day("2028-06-01")
	for _, v := range e.Visits(tree, site, today) {
		if contains(v.Kinds, scheduler.WalkClearance) && !contains(v.Kinds, scheduler.Training) {
			t.Errorf("the overdue training does not go along: %v", v.Kinds)
		}
	}
}

// A dormant prune and a yearly look in leaf are two trips, though their windows meet.
func TestPruningIsNotMovedIntoLeaf(t *testing.T) {
	e := presetEngine(t, "northeast", nil)
	tree, site := maple(), apart()
	site.InSight, site.ToJunction, site.SpeedKmh = true, 9000, 48
	tree.LastTraining, tree.LastVisit = day("2024-12-10"), day("2026-11-20") // the look of 2027 is open, and training to March 2029
	looks := 0
	for today := day("2026-11-25"); today < day("2027-08-15"); today += 13 {
		for _, v := range e.Visits(tree, site, today) {
			if contains(v.Kinds, scheduler.Training) && !dormantDay(v.Window.Due) {
				t.Errorf("%s: training due on %s", today, v.Window.Due)
			}
			if v.Kind == scheduler.SightClearance {
				looks++
			}
		}
	}
	if looks == 0 {
		t.Error("no look in leaf")
	}
}

// TestSeasonHoldsMoreThanADay: where the due day is the last of a window in
// leaf, the open days around it are told.
func TestSeasonHoldsMoreThanADay(t *testing.T) {
	for _, tc := range []struct {
		name  string
		rules []scheduler.Season
		on    string
		want  string
	}{
		{"no rule", nil, "2030-08-28", "growing season 2030, 15 Apr to 31 Oct"},
		{"in winter", nil, "2031-01-10", "dormant season 2030/31, 1 Nov to 31 Mar"},
		{"open from August on", []scheduler.Season{{Kind: scheduler.SeasonClosed, From: md(4, 1), To: md(7, 31)}}, "2030-08-28", "growing season 2030, 1 Aug to 31 Oct"},
		{"the law leaves one day", []scheduler.Season{{Kind: scheduler.SeasonAllowed, From: md(8, 28), To: md(8, 28)}}, "2030-08-28", "growing season 2030, 28 Aug to 28 Aug"},
	} {
		e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) {
			p.Seasons.Special, p.Seasons.LeafOn = tc.rules, scheduler.MonthSpan{From: md(4, 15), To: md(10, 31)}
		})
		tree, site := maple(), apart()
		d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"], today: day("2026-11-25")}
		i := d.add(task{kind: scheduler.SightClearance, class: 4})
		tr := trip{}
		tr.add(i)
		w := scheduler.Window{Earliest: day(tc.on) - 60, Due: day(tc.on), Latest: day(tc.on)}
		if dormantDay(w.Due) {
			w.Latest = w.Due
		}
		p := d.seasonOf(&tr, w)
		if got := p.in(string(d.buf)); got != tc.want {
			t.Errorf("%s: %q, want %q", tc.name, got, tc.want)
		}
	}
}

// A trip of several prunes is due where its season begins, not on the single
// day that weighs least.
func TestBundledPruningIsDueWhereItsSeasonBegins(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	tree, site := maple(), apart()
	d := draft{e: e, t: &tree, s: &site, p: e.species["ACRU"], today: day("2026-11-25")}
	d.proj = d.p.curve.Project(tree, 0)
	d.add(task{kind: scheduler.Training, class: 4, w: scheduler.Window{Earliest: day("2026-11-01"), Due: day("2027-11-01"), Latest: day("2028-03-31")}})
	for _, k := range []scheduler.WorkKind{scheduler.RoadClearance, scheduler.WalkClearance, scheduler.Restoration} {
		d.add(task{kind: k, class: 4, w: scheduler.Window{Earliest: day("2027-11-01"), Due: day("2028-11-01"), Latest: day("2030-03-31")}})
	}
	d.looks, d.mends = lookOnly, thinWork
	v := only(t, d.trips())
	if v.Window.Due != day("2027-11-01") || !strings.Contains(v.Season, "2027/28, 1 Nov to 31 Mar") {
		t.Errorf("due %s, %s", v.Window.Due, v.Season)
	}
}
