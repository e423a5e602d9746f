package due

import (
	"testing"

	"limbround/scheduler"
)

// grid is a coarse calendar of a few days around the end of a growing season,
// the place where a dose ends. Its tasks are every choice of open days (so
// every window and every hole in it), with some due days and needs.
type grid struct {
	first scheduler.Date
	year  []int // growing season of each day
	kinds []option
	open  []int // open days of each kind, a bit each
}

func newGrid(c *calendar, before, after int, dues func(first, last, days int) []int, needs []int) *grid {
	_, end := c.growingIn(2027)
	n := before + after
	g := &grid{first: end - scheduler.Date(before-1)}
	for i := range n {
		g.year = append(g.year, 2027+i/before*min(1, after))
	}
	for set := 1; set < 1<<n; set++ {
		var o option
		for i := range n {
			switch {
			case set>>i&1 == 0:
			case i > 0 && set>>(i-1)&1 == 1:
				o.runs[o.n-1].to++
			default:
				o.runs[o.n] = days{g.first + scheduler.Date(i), g.first + scheduler.Date(i)}
				o.n++
			}
		}
		for _, due := range dues(int(o.runs[0].from-g.first), int(o.runs[o.n-1].to-g.first), n) {
			for _, need := range needs {
				o.due, o.need = g.first+scheduler.Date(due), need
				g.kinds = append(g.kinds, o)
				g.open = append(g.open, set)
			}
		}
	}
	return g
}

// best tries every day for every task: the fewest trips, then the least shift.
// From day line of the grid on (0 for never) the tasks of the set tops and the
// others are not done on one trip: a day with both takes two.
func (g *grid) best(pick []int, limit, used int, needs bool, tops, line int) (trips, shift int) {
	trips = len(pick) + 1
	var at [4]int
	var try func(i, days, cost int)
	try = func(i, days, cost int) {
		if i == len(pick) {
			left := [2]int{limit - used, limit}
			for j, k := range pick {
				left[g.year[at[j]]-2027] -= g.kinds[k].need
			}
			if needs && (left[0] < 0 || left[1] < 0) {
				return
			}
			n := 0
			for ; days > 0; days &= days - 1 {
				n++
			}
			if n < trips || (n == trips && cost < shift) {
				trips, shift = n, cost
			}
			return
		}
		o := &g.kinds[pick[i]]
		for day := range g.year {
			if g.open[pick[i]]>>day&1 == 1 {
				late := day - int(o.due-g.first)
				if late < 0 {
					late = -late
				} else {
					late *= 2
				}
				at[i] = day
				trip := day
				if line > 0 && day >= line && tops>>i&1 == 1 {
					trip += len(g.year)
				}
				try(i+1, days|1<<trip, cost+late)
			}
		}
	}
	try(0, 0, 0)
	return trips, shift
}

// TestBundleOnEverySmallCase compares the search with an exhaustive one on every
// case of the grids, none of them drawn: all sets of one to four tasks.
func TestBundleOnEverySmallCase(t *testing.T) {
	c := newCalendar(scheduler.SeasonRules{Dormant: scheduler.MonthSpan{From: md(11, 1), To: md(3, 31)}, LeafOn: scheduler.MonthSpan{From: md(4, 15), To: md(10, 31)}})
	all := func(_, _, n int) (list []int) { // every day and one before and behind
		for d := -1; d <= n; d++ {
			list = append(list, d)
		}
		return list
	}
	ends := func(first, last, _ int) []int {
		if first == last {
			return []int{first}
		}
		return []int{first, last}
	}
	two := newGrid(&c, 3, 2, all, []int{0, 15})
	three := newGrid(&c, 2, 2, func(_, _, _ int) []int { return []int{0, 1, 2, 3} }, []int{0, 15})
	four := newGrid(&c, 2, 2, ends, []int{0, 12})
	type lined struct{ tops, line int } // a set of tasks (its complement is parted from it alike), and the day of the grid
	lines := func(tasks, from, to int) []lined {
		list := []lined{{}}
		for tops := 1; tops < 1<<(tasks-1); tops++ {
			for day := from; day <= to; day++ {
				list = append(list, lined{tops, day})
			}
		}
		return list
	}
	cases, dosed, shared, split, parted := 0, 0, 0, 0, 0
	for _, s := range []struct {
		g     *grid
		tasks int
		used  []int
		lines []lined
	}{{two, 1, []int{0, 15}, lines(1, 1, 4)}, {two, 2, []int{0, 15}, lines(2, 1, 4)}, {three, 3, []int{10}, lines(3, 2, 2)}, {four, 4, []int{10}, []lined{{}, {5, 2}}}} {
		pick := make([]int, s.tasks)
		tasks := make([]option, s.tasks)
		var from func(i, least int)
		from = func(i, least int) {
			if i < s.tasks {
				for k := least; k < len(s.g.kinds); k++ {
					pick[i] = k
					from(i+1, k)
				}
				return
			}
			for _, used := range s.used {
				for _, l := range s.lines {
					cases++
					line := scheduler.Date(0)
					if l.line > 0 {
						line = s.g.first + scheduler.Date(l.line)
					}
					for j, k := range pick {
						tasks[j] = s.g.kinds[k]
						tasks[j].top = l.tops>>j&1 == 1
					}
					got := bundleTasks(tasks, doses{cal: &c, limit: 25, year: 2027, used: used}, line)
					trips, shift := s.g.best(pick, 25, used, s.tasks > 1, l.tops, l.line)
					if trips > s.tasks { // no way to keep to the dose: the tasks share it
						shared++
						trips, shift = s.g.best(pick, 25, used, false, l.tops, l.line)
					} else if s.tasks > 1 {
						if free, _ := s.g.best(pick, 25, used, false, l.tops, l.line); free < trips {
							dosed++
						}
						if l.line > 0 {
							if free, _ := s.g.best(pick, 25, used, true, 0, 0); free < trips {
								parted++
							}
						}
					}
					if trips > 1 {
						split++
					}
					if got.trips != trips || got.shift != shift {
						t.Fatalf("tasks %v of the grid, %d %% used, line %+v: %d trips with shift %d, of all ways the best is %d with %d: %+v", pick, used, l, got.trips, got.shift, trips, shift, tasks)
					}
				}
			}
		}
		from(0, 0)
	}
	if dosed == 0 || shared == 0 || split == 0 || parted == 0 {
		t.Errorf("of %d cases the dose splits %d, is shared in %d, the line parts %d, and %d need more than one trip", cases, dosed, shared, parted, split)
	}
	t.Logf("%d cases: more than one trip in %d, split by the dose in %d, parted by the line in %d, dose shared in %d", cases, split, dosed, parted, shared)
}
