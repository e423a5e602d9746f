package year

import "limbround/scheduler"

// The cost of a visit in a week counts visit-weeks of lateness: overdueWeight
// for each week past the window's latest date, one for each week past its due
// date. A visit that is carried over pays as if it were done in the week after
// the year's last.
const overdueWeight = 10

// never marks a week in which the visit cannot be done.
const never = int64(1) << 40

// task is an item reduced to what the planner compares: costs by week, the
// last entry for being carried over.
type task struct {
	item   int
	class  int
	level  int
	work   int // minutes without traffic set-up
	cost   []int64
	latest int // week index of the latest date, clamped

	share     int // of its face's traffic set-up, for the bound
	shareFrom int // the first skill pool in which the share is charged
}

func newTask(c *calendar, i int, it *Item) task {
	v := &it.Visit
	n := len(c.weeks)
	t := task{item: i, class: v.Class, level: level(v.Skill), work: v.Minutes, cost: make([]int64, n+1)}
	due, latest := n, n
	if !v.Window.Due.IsZero() {
		due = min(n, c.week(v.Window.Due))
	}
	if !v.Window.Latest.IsZero() {
		latest = min(n, c.week(v.Window.Latest))
	}
	t.latest = latest
	for w := range t.cost {
		// Lateness before the year began is sunk: it is the same whatever is decided now.
		t.cost[w] = int64(overdueWeight*max(0, w-max(latest, c.first)) + max(0, w-max(due, c.first)))
		if w < n && !open(c, w, it) {
			t.cost[w] = never
		}
	}
	return t
}

// open reports whether at least one working day of week w lies in the visit's
// window and outside its closed seasons.
func open(c *calendar, w int, it *Item) bool {
	if w < c.first {
		return false
	}
	for d := range 5 {
		day := c.weeks[w].AddDays(d)
		if day >= it.Visit.Window.Earliest && !closed(it.Closed, day) {
			return true
		}
	}
	return false
}

func closed(spans []Span, d scheduler.Date) bool {
	for _, s := range spans {
		if s.Holds(d) {
			return true
		}
	}
	return false
}
