package due

import "limbround/scheduler"

// Bundling: the fewest trips that meet all tasks of a tree.
//
// Each task may be done on the days of some runs (its window without the
// closed seasons of its kind), and takes some live crown at least; all tasks
// done in one growing season share one dose. From the day on which the top of
// the tree is in the approach zone of a line, work at the top and other work go
// with different crews, and so on different trips. Wanted are the fewest trips, and
// among those the least shift of tasks from their due days, a day late
// counting twice a day early (move earlier rather than later).
//
// The search is exact. For a fixed assignment of tasks to trips the shift is
// piecewise linear in each trip's day, with breaks at the tasks' due days, so
// that some best day is a due day or an end of a run; the only other places
// where the answer can change are the last and the first day of a dose, and the
// last day on which the two crews' work may still share a trip. Trying those days, first with one trip, then with two and so on, tries everything
// that matters. Tasks number at most maxTasks; ordinary trees have one or two.

// days is a run of days, inclusive.
type days struct{ from, to scheduler.Date }

const maxRuns = 16

// option is one task as the bundler sees it.
type option struct {
	due  scheduler.Date
	need int  // live crown, per cent
	top  bool // in the upper crown
	runs [maxRuns]days
	n    int
}

func (o *option) allows(d scheduler.Date) bool {
	for i := range o.n {
		if o.runs[i].from <= d && d <= o.runs[i].to {
			return true
		}
	}
	return false
}

// shift is the cost of doing the task on a day.
func (o *option) shift(d scheduler.Date) int {
	if d < o.due {
		return int(o.due - d)
	}
	return 2 * int(d-o.due)
}

// doses is the live crown that may still be taken: limit in every growing
// season, less used in one of them.
type doses struct {
	cal   *calendar
	limit int
	year  int
	used  int
}

func (s *doses) left(year int) int {
	if year == s.year {
		return max(0, s.limit-s.used)
	}
	return s.limit
}

// bundle is a solution: each task's trip, and each trip's day.
type bundle struct {
	trips int
	day   [maxTasks]scheduler.Date
	trip  [maxTasks]int
	shift int
}

// search is the state of the exact search.
type search struct {
	tasks []option
	dose  doses
	line  scheduler.Date // the first day on which top and other work do not share a trip; 0 for never
	days  [maxTasks*(2*maxRuns+1) + 2*maxRuns + 1]scheduler.Date
	nd    int
	now   bundle
	year  [maxTasks]int  // growing season of each trip
	top   [maxTasks]bool // the work of each trip's first task
	best  bundle
	found bool
}

// bundleTasks finds the fewest trips, with top and other work apart from the
// day line on (0 for never). Where no set of trips keeps to the dose,
// the tasks share it: the crew stops at the dose, in the order of objectives.
func bundleTasks(tasks []option, dose doses, line scheduler.Date) bundle {
	if len(tasks) == 1 {
		return single(&tasks[0])
	}
	s := search{tasks: tasks, dose: dose, line: line}
	s.collect()
	for k := 1; k <= len(tasks); k++ {
		if s.try(0, k, 0); s.found {
			return s.best
		}
	}
	for i := range s.tasks {
		s.tasks[i].need = 0
	}
	for k := 1; k <= len(tasks); k++ {
		if s.try(0, k, 0); s.found {
			return s.best
		}
	}
	return s.best
}

func single(o *option) bundle {
	b := bundle{trips: 1, day: [maxTasks]scheduler.Date{o.due}, shift: 1 << 30}
	try := func(d scheduler.Date) {
		if c := o.shift(d); o.allows(d) && c < b.shift {
			b.day[0], b.shift = d, c
		}
	}
	try(o.due)
	for i := range o.n {
		try(o.runs[i].from)
		try(o.runs[i].to)
	}
	return b
}

// collect gathers the days worth trying.
func (s *search) collect() {
	for i := range s.tasks {
		o := &s.tasks[i]
		s.day(o.due)
		for j := range o.n {
			s.day(o.runs[j].from)
			s.day(o.runs[j].to)
		}
	}
	if s.line != 0 {
		s.day(s.line - 1)
	}
	total, first, last := 0, s.days[0], s.days[0]
	for i := range s.tasks {
		o := &s.tasks[i]
		total += o.need
		first, last = min(first, o.runs[0].from), max(last, o.runs[o.n-1].to)
	}
	if total <= s.dose.limit-s.dose.used {
		return // the dose never binds
	}
	for y := s.dose.cal.doseYear(first); s.nd+2 <= len(s.days); y++ {
		_, end := s.dose.cal.growingIn(y)
		if end > last {
			return
		}
		s.day(end)
		s.day(end + 1)
	}
}

// day adds a day once.
func (s *search) day(d scheduler.Date) {
	for i := range s.nd {
		if s.days[i] == d {
			return
		}
	}
	s.days[s.nd] = d
	s.nd++
}

// try assigns task i and those after it with at most k trips in all.
func (s *search) try(i, k, cost int) {
	if s.found && cost >= s.best.shift {
		return
	}
	if i == len(s.tasks) {
		s.best, s.found = s.now, true
		s.best.shift = cost
		return
	}
	o := &s.tasks[i]
	for t := range s.now.trips {
		if d := s.now.day[t]; o.allows(d) && s.together(o.top, t) && s.fits(i, s.year[t]) {
			s.now.trip[i] = t
			s.try(i+1, k, cost+o.shift(d))
		}
	}
	if s.now.trips == k {
		return
	}
	t := s.now.trips
	s.now.trips++
	s.now.trip[i] = t
	s.top[t] = o.top
	for c := range s.nd {
		d := s.days[c]
		if !o.allows(d) {
			continue
		}
		if y := s.dose.cal.doseYear(d); s.fits(i, y) {
			s.now.day[t], s.year[t] = d, y
			s.try(i+1, k, cost+o.shift(d))
		}
	}
	s.now.trips--
}

// together reports whether work at the top, or other work, may join a trip.
func (s *search) together(top bool, t int) bool {
	return s.line == 0 || s.now.day[t] < s.line || top == s.top[t]
}

// fits reports whether task i still fits the dose of a growing season, beside
// the tasks before it that are done in the same season.
func (s *search) fits(i, year int) bool {
	sum := s.tasks[i].need
	if sum == 0 {
		return true
	}
	for j := range i {
		if s.year[s.now.trip[j]] == year {
			sum += s.tasks[j].need
		}
	}
	return sum <= s.dose.left(year)
}
