package year

import (
	"fmt"

	"limbround/scheduler"
)

// classes is the number of strict priority classes, 0 the most urgent.
const classes = 5

// Build makes the annual plan of one year. Every item of the request ends with
// one line: a week, or the reason for which it is carried over. It fails only
// on a request without weeks.
func Build(r Request) (scheduler.Plan, error) {
	cal := newCalendar(r.Year, r.Today)
	if cal.first >= len(cal.weeks) {
		return scheduler.Plan{}, scheduler.Errorf(scheduler.Invalid, "year %d: it is over on %s, no week is left to plan", r.Year, r.Today)
	}
	room := newCapacity(&cal, r.Crews)
	plan := scheduler.Plan{
		Year: r.Year, State: scheduler.PlanDraft, PolicyID: r.PolicyID, MadeOn: r.Today,
		Available: room.hours(), Objective: make([]int64, classes), Bound: make([]int64, classes),
		Lines: make([]scheduler.PlanLine, 0, len(r.Items)),
	}
	var tasks []task
	for i := range r.Items {
		it := &r.Items[i]
		if why := notPlannable(&cal, it); why != "" {
			plan.Lines = append(plan.Lines, carried(it, why))
			continue
		}
		tasks = append(tasks, newTask(&cal, i, it))
	}
	a := newAssignment(&cal, &room, r)
	share(tasks, r.Items, a.setup)
	bounds := bound(tasks, &room)
	a.run(tasks)
	minutes := 0
	for i := range tasks {
		t := &tasks[i]
		it := &r.Items[t.item]
		w := a.week[i]
		plan.Objective[t.class] += t.cost[w]
		if w == len(cal.weeks) {
			plan.Lines = append(plan.Lines, carried(it, a.why(t, it)))
			continue
		}
		m := t.work + a.setUp[i]
		minutes += m
		plan.Lines = append(plan.Lines, scheduler.PlanLine{VisitID: it.Visit.ID, Week: cal.weeks[w], Skill: it.Visit.Skill, Minutes: m})
	}
	plan.Hours = float64(minutes) / 60
	copy(plan.Bound, bounds[:])
	return plan, nil
}

func carried(it *Item, why string) scheduler.PlanLine {
	return scheduler.PlanLine{VisitID: it.Visit.ID, Skill: it.Visit.Skill, Minutes: it.Visit.Minutes, Carried: why}
}

// notPlannable says why an item cannot be given any week of the year, whatever
// crews there are; empty when it can.
func notPlannable(c *calendar, it *Item) string {
	v := &it.Visit
	switch {
	case v.State == scheduler.Held:
		return "held: " + v.Hold
	case v.State == scheduler.NotOurs:
		return "not ours: the owner looks after this tree"
	case v.Window.Earliest > c.weeks[len(c.weeks)-1].AddDays(6):
		return fmt.Sprintf("window not open: it opens on %s, after the year", v.Window.Earliest)
	}
	for w := c.first; w < len(c.weeks); w++ {
		if open(c, w, it) {
			return ""
		}
	}
	return fmt.Sprintf("closed season: every week from %s on lies in one", max(c.weeks[c.first], v.Window.Earliest))
}
