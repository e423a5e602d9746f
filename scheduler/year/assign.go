package year

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// The assignment goes class by class, so that no lower class can take time that
// a higher one needs. Within a class visits are taken in the order of their
// latest date, then by section and block face, and each goes to the cheapest
// week that still has crew time; among equal weeks the one in which its block
// face is already open wins (its traffic set-up is paid), then the earliest.
// Earliest-deadline order is optimal for one machine and equal minutes; the
// bound printed with the plan says how far from optimal the result can be.
type assignment struct {
	cal   *calendar
	room  *capacity
	items []Item
	setup func(it *Item) int
	face  map[faceWeek]bool
	week  []int // by task; len(weeks) for carried over
	setUp []int // traffic set-up minutes charged to the task
}

type faceWeek struct {
	face int64
	week int
}

func newAssignment(c *calendar, room *capacity, r Request) *assignment {
	return &assignment{
		cal: c, room: room, items: r.Items, face: map[faceWeek]bool{},
		setup: func(it *Item) int { return r.Work.SetUpFor(&it.Visit, it.Class) },
	}
}

func (a *assignment) run(tasks []task) {
	a.week = make([]int, len(tasks))
	a.setUp = make([]int, len(tasks))
	order := make([]int, len(tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		x, y := &tasks[i], &tasks[j]
		p, q := &a.items[x.item], &a.items[y.item]
		return cmp.Or(
			cmp.Compare(x.class, y.class), cmp.Compare(x.latest, y.latest),
			cmp.Compare(p.Visit.Window.Due, q.Visit.Window.Due),
			cmp.Compare(p.Section, q.Section), cmp.Compare(p.FaceID, q.FaceID),
			cmp.Compare(q.Visit.Score, p.Visit.Score), cmp.Compare(p.Visit.ID, q.Visit.ID),
		)
	})
	for _, i := range order {
		a.place(&tasks[i], i)
	}
}

func (a *assignment) place(t *task, i int) {
	it := &a.items[t.item]
	n := len(a.cal.weeks)
	best, bestCost, bestSetUp := n, t.cost[n], 0
	for w := a.cal.first; w < n; w++ {
		c := t.cost[w]
		if c > bestCost {
			continue
		}
		s := 0
		if it.FaceID == 0 || !a.face[faceWeek{it.FaceID, w}] {
			s = a.setup(it)
		}
		// A tie goes to a real week over carrying over, then to the open face.
		if c == bestCost && best < n && s >= bestSetUp {
			continue
		}
		if a.room.fits(w, t.level, t.work+s) {
			best, bestCost, bestSetUp = w, c, s
		}
	}
	a.week[i], a.setUp[i] = best, bestSetUp
	if best < n {
		a.room.take(best, t.level, t.work+bestSetUp)
		if it.FaceID != 0 {
			a.face[faceWeek{it.FaceID, best}] = true
		}
	}
}

// why names the constraint that carried a visit over.
func (a *assignment) why(t *task, it *Item) string {
	first := max(a.cal.weeks[a.cal.first], it.Visit.Window.Earliest)
	last := a.cal.weeks[len(a.cal.weeks)-1].AddDays(6)
	late := ""
	if l := it.Visit.Window.Latest; !l.IsZero() && l > last {
		late = fmt.Sprintf("; its latest date, %s, is still ahead", l)
	}
	crew := strings.ReplaceAll(string(skills[t.level]), "_", "-")
	return fmt.Sprintf("%s crew time used up: no open week from %s to %s has %d min left%s", crew, first, last, t.work+a.setup(it), late)
}
