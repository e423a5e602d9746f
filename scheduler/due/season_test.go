package due

import (
	"strings"
	"testing"
	"time"

	"limbround/scheduler"
)

func md(month, day int) scheduler.MonthDay { return scheduler.MonthDay{Month: month, Day: day} }

// published are pruning windows as their authorities print them.
var published = []struct {
	source, group string
	kind          scheduler.SeasonKind
	from, to      scheduler.MonthDay
	open, shut    []string // days on which live cuts are open or shut
}{
	{"Wisconsin DNR: oaks April through July", "oak", scheduler.SeasonClosed, md(4, 1), md(7, 31), []string{"2027-03-31", "2027-08-01"}, []string{"2027-04-01", "2027-07-01", "2027-07-31"}},
	{"Texas A&M Forest Service: oaks February through June", "oak", scheduler.SeasonClosed, md(2, 1), md(6, 30), []string{"2027-01-31", "2027-07-01"}, []string{"2027-02-01", "2027-06-30"}},
	{"Michigan DNR: oaks 15 April to 15 July", "oak", scheduler.SeasonClosed, md(4, 15), md(7, 15), []string{"2027-04-14", "2027-07-16"}, []string{"2027-07-01"}},
	{"Univ. of Minnesota Extension: oaks April through June", "oak", scheduler.SeasonClosed, md(4, 1), md(6, 30), []string{"2027-07-01"}, []string{"2027-06-30"}},
	{"Minnesota DNR: oaks April through July", "oak", scheduler.SeasonClosed, md(4, 1), md(7, 31), []string{"2027-08-01"}, []string{"2027-07-01"}},
	{"Iowa DNR: oaks only from 15 October to 1 March", "oak", scheduler.SeasonAllowed, md(10, 15), md(3, 1), []string{"2026-10-15", "2026-12-31", "2027-01-01", "2027-03-01"}, []string{"2027-03-02", "2027-07-01", "2026-10-14"}},
	{"Saskatchewan law: elms 1 April to 31 August", "elm", scheduler.SeasonClosed, md(4, 1), md(8, 31), []string{"2027-03-31", "2027-09-01"}, []string{"2027-04-01", "2027-08-31"}},
	{"Ramsey County: honeylocust April through June", "honeylocust", scheduler.SeasonClosed, md(4, 1), md(6, 30), []string{"2027-03-01", "2027-07-01"}, []string{"2027-05-15"}},
	{"Univ. of Minnesota Extension: fire blight hosts from February to early April only", "fire_blight", scheduler.SeasonAllowed, md(2, 1), md(4, 10), []string{"2027-02-01", "2027-04-10"}, []string{"2027-01-31", "2027-04-11", "2026-12-31"}},
	{"Ireland, Wildlife Act 1976 s.40: 1 March to 31 August", "", scheduler.SeasonClosed, md(3, 1), md(8, 31), []string{"2028-02-29", "2027-09-01"}, []string{"2027-03-01", "2027-08-31"}},
	{"a closure across New Year, for the arithmetic", "oak", scheduler.SeasonClosed, md(11, 15), md(2, 10), []string{"2026-11-14", "2027-02-11"}, []string{"2026-11-15", "2026-12-31", "2027-01-01", "2027-02-10"}},
}

func closures(rules ...scheduler.Season) *profile {
	return &profile{bans: bansOf(rules, "oak", scheduler.SeasonClosed, scheduler.SeasonAllowed)}
}

func TestPublishedWindows(t *testing.T) {
	for _, w := range published {
		t.Run(w.source, func(t *testing.T) {
			rule := scheduler.Season{Kind: w.kind, From: w.from, To: w.to}
			if w.group != "" {
				rule.Groups = []string{w.group}
			}
			p := &profile{bans: bansOf([]scheduler.Season{rule}, w.group, scheduler.SeasonClosed, scheduler.SeasonAllowed)}
			for _, s := range w.open {
				if p.closing(scheduler.Training, day(s)) != nil {
					t.Errorf("%s: closed, want open", s)
				}
				if got := p.opens(scheduler.Training, day(s)); got != day(s) {
					t.Errorf("%s: opens %s, want the day itself", s, got)
				}
			}
			for _, s := range w.shut {
				d := day(s)
				if p.closing(scheduler.Training, d) == nil {
					t.Fatalf("%s: open, want closed", s)
				}
				first, last := p.opens(scheduler.Training, d), p.openUntil(scheduler.Training, d)
				if p.closing(scheduler.Training, first) != nil || p.closing(scheduler.Training, first-1) == nil || first <= d {
					t.Errorf("%s: opens %s, which is not the first open day after it", s, first)
				}
				if p.closing(scheduler.Training, last) != nil || p.closing(scheduler.Training, last+1) == nil || last >= d {
					t.Errorf("%s: open until %s, which is not the last open day before it", s, last)
				}
				if p.closing(scheduler.StumpGrinding, d) != nil {
					t.Errorf("%s: closed to stump grinding, which cuts nothing live", s)
				}
			}
			other := &profile{bans: bansOf([]scheduler.Season{rule}, "maple", scheduler.SeasonClosed, scheduler.SeasonAllowed)}
			if closed := other.closing(scheduler.Training, day(w.shut[0])) != nil; closed != (w.group == "") {
				t.Errorf("another species group: closed %v", closed)
			}
		})
	}
}

// TestRunsAgree holds the jumps from closure to closure against a walk day by day.
func TestRunsAgree(t *testing.T) {
	for _, w := range published {
		p := &profile{bans: bansOf([]scheduler.Season{{Kind: w.kind, From: w.from, To: w.to}}, "oak", scheduler.SeasonClosed, scheduler.SeasonAllowed)}
		for d := day("2027-01-01"); d < day("2029-06-01"); d++ {
			want := d
			for p.closing(scheduler.Training, want) != nil {
				want++
			}
			if got := p.opens(scheduler.Training, d); got != want {
				t.Fatalf("%s: from %s opens %s, want %s", w.source, d, got, want)
			}
			to := want + 500
			last := want
			for last < to && p.closing(scheduler.Training, last+1) == nil {
				last++
			}
			if got := p.run(scheduler.Training, want, to); got != last {
				t.Fatalf("%s: run from %s ends %s, want %s", w.source, want, got, last)
			}
		}
	}
}

func TestFitMovesEarlier(t *testing.T) {
	c := newCalendar(scheduler.SeasonRules{Dormant: scheduler.MonthSpan{From: md(11, 1), To: md(3, 31)}, LeafOn: scheduler.MonthSpan{From: md(4, 15), To: md(10, 31)}})
	from, to := c.dormantIn(2028)
	cases := []struct {
		name        string
		rules       []scheduler.Season
		first, last string
	}{
		{"no closure", nil, "2028-11-01", "2029-03-31"},
		{"cut at the end (Texas oak)", []scheduler.Season{{Kind: scheduler.SeasonClosed, From: md(2, 1), To: md(6, 30)}}, "2028-11-01", "2029-01-31"},
		{"cut at the start (fire blight)", []scheduler.Season{{Kind: scheduler.SeasonAllowed, From: md(2, 1), To: md(4, 10)}}, "2029-02-01", "2029-03-31"},
		{"a hole keeps both ends", []scheduler.Season{{Kind: scheduler.SeasonClosed, From: md(12, 15), To: md(1, 15)}}, "2028-11-01", "2029-03-31"},
		{"all of it closed: earlier, not later", []scheduler.Season{{Kind: scheduler.SeasonClosed, From: md(10, 1), To: md(4, 30)}}, "2028-05-03", "2028-09-30"},
	}
	for _, tc := range cases {
		first, last := closures(tc.rules...).fit(scheduler.Training, from, to)
		if first != day(tc.first) || last != day(tc.last) {
			t.Errorf("%s: %s to %s, want %s to %s", tc.name, first, last, tc.first, tc.last)
		}
	}
}

func TestGrowingSeasonsCounted(t *testing.T) {
	c := newCalendar(scheduler.SeasonRules{Dormant: scheduler.MonthSpan{From: md(11, 1), To: md(3, 31)}, LeafOn: scheduler.MonthSpan{From: md(4, 1), To: md(10, 31)}})
	cases := []struct {
		on                    string
		counted, full, dosing int
		before, at            int
	}{
		{"2026-01-14", 2026, 2026, 2026, 2025, 2025}, // winter: the coming season counts and lies wholly ahead
		{"2026-04-01", 2026, 2027, 2026, 2025, 2026}, // first day in leaf: counts, but is no longer full
		{"2026-07-16", 2026, 2027, 2026, 2025, 2026}, // the middle
		{"2026-07-18", 2027, 2027, 2026, 2025, 2026}, // past it
		{"2026-10-31", 2027, 2027, 2026, 2025, 2026},
		{"2026-11-01", 2027, 2027, 2027, 2026, 2026},
		{"2026-12-31", 2027, 2027, 2027, 2026, 2026},
	}
	for _, tc := range cases {
		d := day(tc.on)
		if got := c.counted(d); got != tc.counted {
			t.Errorf("%s: counted %d, want %d", tc.on, got, tc.counted)
		}
		if got := c.full(d); got != tc.full {
			t.Errorf("%s: full %d, want %d", tc.on, got, tc.full)
		}
		if got := c.doseYear(d); got != tc.dosing {
			t.Errorf("%s: dose year %d, want %d", tc.on, got, tc.dosing)
		}
		if got := c.leaf.DoseSeason(d); got != tc.dosing {
			t.Errorf("%s: a work record puts its dose in %d, the rules look in %d", tc.on, got, tc.dosing)
		}
		if got := c.before(d); got != tc.before {
			t.Errorf("%s: before %d, want %d", tc.on, got, tc.before)
		}
		if got := c.at(d); got != tc.at {
			t.Errorf("%s: at %d, want %d", tc.on, got, tc.at)
		}
	}
	if got := c.after(2028); got != 2028 {
		t.Errorf("the dormant season after the growing season 2028 is %d", got)
	}
}

func TestSeasonNames(t *testing.T) {
	c := newCalendar(scheduler.SeasonRules{Dormant: scheduler.MonthSpan{From: md(11, 1), To: md(3, 31)}, LeafOn: scheduler.MonthSpan{From: md(4, 15), To: md(10, 31)}})
	cases := []struct{ from, to, want string }{
		{"2028-11-01", "2029-03-31", "dormant season 2028/29, 1 Nov to 31 Mar"},
		{"2028-11-01", "2029-01-31", "dormant season 2028/29, 1 Nov to 31 Jan"},
		{"2029-02-01", "2029-03-31", "dormant season 2028/29, 1 Feb to 31 Mar"},
		{"2099-11-01", "2100-03-31", "dormant season 2099/00, 1 Nov to 31 Mar"},
		{"2029-06-01", "2029-09-15", "growing season 2029, 1 Jun to 15 Sep"},
	}
	for _, tc := range cases {
		b, name, made := c.name(nil, day(tc.from), day(tc.to))
		if made {
			name = string(b)
		}
		if name != tc.want {
			t.Errorf("%s to %s: %q, want %q", tc.from, tc.to, name, tc.want)
		}
	}
}

// TestCivil holds the calendar arithmetic against package time.
func TestCivil(t *testing.T) {
	for d := scheduler.NewDate(1899, time.January, 1); d < scheduler.NewDate(2201, time.January, 1); d++ {
		y, m, dd := civil(d)
		if w := d.Time(); y != w.Year() || m != int(w.Month()) || dd != w.Day() {
			t.Fatalf("civil(%s) = %d-%d-%d", d, y, m, dd)
		}
		if date(y, m, dd) != d {
			t.Fatalf("date(%d, %d, %d) = %s, want %s", y, m, dd, date(y, m, dd), d)
		}
		if d%37 == 0 {
			for _, n := range []int{-25, -12, -1, 0, 1, 6, 11, 12, 45} {
				if got, want := addMonths(d, n), d.AddMonths(n); got != want {
					t.Fatalf("%s + %d months = %s, want %s", d, n, got, want)
				}
			}
		}
	}
}

// oaks are the rules of six authorities about an oak on 1 July; Iowa allows
// work only inside a window that crosses New Year.
var oaks = []struct {
	authority string
	kind      scheduler.SeasonKind
	from, to  scheduler.MonthDay
	closed    bool
}{
	{"Wisconsin DNR", scheduler.SeasonClosed, md(4, 1), md(7, 31), true},
	{"Michigan DNR", scheduler.SeasonClosed, md(4, 15), md(7, 15), true},
	{"Texas A&M Forest Service", scheduler.SeasonClosed, md(2, 1), md(6, 30), false},
	{"Univ. of Minnesota Extension", scheduler.SeasonClosed, md(4, 1), md(6, 30), false},
	{"Minnesota DNR", scheduler.SeasonClosed, md(4, 1), md(7, 31), true},
	{"Iowa DNR", scheduler.SeasonAllowed, md(10, 15), md(3, 1), true},
}

// TestOakOnTheFirstOfJuly: by authority, and by cut class. A season that names
// no class holds live cuts alone: a dead oak may be taken down in it.
func TestOakOnTheFirstOfJuly(t *testing.T) {
	on := day("2031-07-01") // the prune has been due since the winter of 2028
	oak := maple()
	oak.Species = "QUPA"
	dead := oak
	dead.State = scheduler.Dead
	for _, o := range oaks {
		for _, cuts := range [][]scheduler.CutClass{nil, {scheduler.CutLive}, {scheduler.CutLive, scheduler.CutDead}, {scheduler.CutDead}} {
			live := len(cuts) == 0 || contains(cuts, scheduler.CutLive)
			rule := scheduler.Season{Name: "oak", Kind: o.kind, From: o.from, To: o.to, Groups: []string{"oak"}, Cuts: cuts, Authority: o.authority}
			e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) { p.Seasons.Special = []scheduler.Season{rule} })
			for _, c := range []struct {
				tree   scheduler.Tree
				kind   scheduler.WorkKind
				closed bool
			}{{oak, scheduler.Training, o.closed && live}, {dead, scheduler.Removal, o.closed && contains(cuts, scheduler.CutDead)}} {
				v := only(t, e.Visits(c.tree, apart(), on))
				want := scheduler.Overdue
				if c.closed {
					want = scheduler.OverdueClosed
				}
				if v.Kind != c.kind || v.State != want {
					t.Errorf("%s, cuts %v: %s is %s, want %s %s", o.authority, cuts, v.Kind, v.State, c.kind, want)
				}
				if got := e.policy.Seasons.ClosedOn("oak", []scheduler.WorkKind{c.kind}, on); got != c.closed {
					t.Errorf("%s, cuts %v: the dispatcher finds %s closed %v, the rules %v", o.authority, cuts, c.kind, got, c.closed)
				}
				if e.policy.Seasons.ClosedOn("elm", []scheduler.WorkKind{c.kind}, on) {
					t.Errorf("%s: an elm is closed with the oaks", o.authority)
				}
			}
		}
	}
	iowa := scheduler.SeasonRules{Special: []scheduler.Season{{Kind: scheduler.SeasonAllowed, From: md(10, 15), To: md(3, 1), Groups: []string{"oak"}}}}
	for s, closed := range map[string]bool{"2026-10-14": true, "2026-10-15": false, "2026-12-31": false, "2027-01-01": false, "2027-03-01": false, "2027-03-02": true} {
		if got := iowa.ClosedOn("oak", []scheduler.WorkKind{scheduler.Training}, day(s)); got != closed {
			t.Errorf("Iowa, %s: closed %v", s, got)
		}
	}
}

func TestCheckFirstNamesItsDays(t *testing.T) {
	for days, want := range map[int]string{0: "look before the work, within the days the authority sets.", 7: "look no more than 7 days before the work, and write down who looked."} {
		e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) {
			p.Seasons.Special = []scheduler.Season{{Name: "nests", Kind: scheduler.SeasonCheckFirst, From: md(1, 1), To: md(12, 31), Survey: days, Authority: "the agency"}}
		})
		v := only(t, e.Visits(maple(), apart(), day("2026-11-25")))
		if all := strings.Join(v.Cautions, "\n"); !strings.Contains(all, "Check first: nests (the agency): "+want) {
			t.Errorf("%d days: %q", days, v.Cautions)
		}
	}
}
