package crewday

import (
	"cmp"
	"slices"

	"limbround/scheduler"
)

// What it costs to leave a visit out. Strict classes come first: a minute of one
// class outweighs classStep minutes of the next. Within a class the score and
// then the season deadline rank the visits; the first in rank counts topWeight
// times the last. Every visit is worth more than the longest detour to it, so
// that none is left out while a crew has time.
const (
	classStep  = 100
	classes    = 5
	topWeight  = 4
	perVisit   = 10   // minutes added to each visit, so that small ones count
	perMinute  = 3600 // seconds of cost for each weighted minute of class 4
	maxMinutes = 240
)

// worth is the price of leaving out each job of the problem.
func (b *build) worth() []int64 {
	order := make([]int, len(b.jobs))
	for k := range order {
		order[k] = k
	}
	visit := func(k int) *scheduler.Visit { return &b.r.Jobs[b.jobs[k]].Visit }
	slices.SortFunc(order, func(x, y int) int {
		p, q := visit(x), visit(y)
		return cmp.Or(cmp.Compare(p.Class, q.Class), cmp.Compare(q.Score, p.Score),
			cmp.Compare(deadline(p), deadline(q)), cmp.Compare(p.ID, q.ID))
	})
	out := make([]int64, len(order))
	for lo := 0; lo < len(order); {
		hi := lo + 1
		for hi < len(order) && visit(order[hi]).Class == visit(order[lo]).Class {
			hi++
		}
		step := int64(1)
		for range classes - 1 - min(max(visit(order[lo]).Class, 0), classes-1) {
			step *= classStep
		}
		n := int64(hi - lo)
		for rank, k := range order[lo:hi] {
			minutes := int64(perVisit + min(visit(k).Minutes, maxMinutes))
			weight := n + (topWeight-1)*(n-int64(rank)) // n to 4n
			out[k] = step * perMinute * minutes * weight / n
		}
		lo = hi
	}
	return out
}

// deadline is the end of the visit's window; without one it is far away.
func deadline(v *scheduler.Visit) scheduler.Date {
	if v.Window.Latest.IsZero() {
		return 1 << 30
	}
	return v.Window.Latest
}

// delay is what each day of waiting costs, in seconds: hours for work to be made
// safe at once, less for what is due in days or weeks, and a little for a season
// that ends within the span.
func delay(v *scheduler.Visit, last scheduler.Date) int64 {
	switch {
	case v.Class == 0:
		return 4 * 3600
	case v.Class == 1:
		return 3600
	case v.Class == 2:
		return 600
	case deadline(v) < last:
		return 300
	}
	return 0
}
