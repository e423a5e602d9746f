package city

import (
	"fmt"
	"math"
	"math/rand/v2"

	"limbround/geo"
	"limbround/scheduler"
)

// visit is one past visit in the making.
type visit struct {
	on    scheduler.Date
	kind  scheduler.WorkKind
	stage scheduler.Stage
	live  int // per cent of the live crown taken
}

// recordYears is how far back the city's records go; older visits happened, but
// nobody wrote down what they found.
const recordYears = 18

// past draws the visits a tree has had. About three trees in ten were never
// visited, three were visited now and then, and the rest regularly: training
// every two to four years, raises when the crown allowed them, rotation prunes
// once they were grown. What the last visits found is carried into the row.
func (c *City) past(r *rand.Rand, l *life, ref string, v *treeValues) []Entry {
	care := r.Float64()
	if care < 0.3 {
		return nil
	}
	var visits []visit
	age := l.planted.YearsTo(c.req.Today)
	keep := 1.0
	if care < 0.6 {
		keep = 0.35
	}
	if age > 1.2 && chance(r, 0.5*keep) {
		visits = append(visits, visit{l.planted.AddDays(330 + r.IntN(60)), scheduler.Establishment, scheduler.StageEstablishing, 0})
	}
	visits = append(visits, c.trainings(r, l, age, keep)...)
	if l.record == "" && len(visits) == 0 && chance(r, 0.5) {
		visits = append(visits, visit{c.req.Today.AddDays(-60 - r.IntN(900)), scheduler.FirstLook, "", 0})
	}
	out := make([]Entry, 0, len(visits))
	road, walk := 0.0, 0.0
	last := l.planted.AddDays(300)
	for _, one := range visits {
		if one.on <= last.AddDays(30) || one.on >= c.req.Today.AddDays(-7) {
			continue
		}
		last = one.on
		base := l.lowest(one.on)
		h := l.height(one.on)
		road, walk = max(road, base), max(walk, base)
		if one.kind == scheduler.WalkClearance {
			road, walk = max(road, 2.5), max(walk, 2.5)
		}
		if one.kind == scheduler.RoadClearance {
			road, walk = max(road, min(4.4, 0.4*h)), max(walk, 2.5)
		}
		row := c.visitRow(r, l, ref, one, road, walk)
		if one.on < c.req.Today.AddYears(-recordYears) {
			continue
		}
		out = append(out, row)
		v.baseRoad, v.baseWalk = tenth(road), tenth(walk)
		if one.stage != "" {
			v.stage = string(one.stage)
		}
	}
	return out
}

// trainings are the visits from the second year on, in order.
func (c *City) trainings(r *rand.Rand, l *life, age, keep float64) []visit {
	var out []visit
	walkDone, roadDone := false, false
	count := 0
	every := between(r, 2, 4)
	for at := between(r, 2, 3.5); at < age; at += every * between(r, 0.85, 1.2) {
		if !chance(r, keep) {
			continue
		}
		one := visit{on: c.workDay(r, l, at), kind: scheduler.Training, live: 10 + r.IntN(16)}
		h := l.height(one.on)
		switch {
		case at > 20:
			one.kind, one.live, every = scheduler.RotationPrune, 5+r.IntN(10), between(r, 6, 9)
			if count >= 3 {
				one.stage = scheduler.StageRotation
			}
		case !walkDone && h > 6.3 && !l.kind.conifer:
			one.kind, one.stage, one.live, walkDone = scheduler.WalkClearance, scheduler.StageTemporaries, 8+r.IntN(8), true
		case walkDone && !roadDone && h > 11:
			one.kind, one.stage, one.live, roadDone = scheduler.RoadClearance, scheduler.StageRaising, 8+r.IntN(8), true
		case count == 0:
			one.stage = scheduler.StageLeader
		case at < 9:
			one.stage = scheduler.StageLeader
		default:
			one.stage = scheduler.StageTemporaries
		}
		if l.kind.conifer && one.kind == scheduler.Training {
			one.kind, one.stage, one.live = scheduler.Inspection, "", 0
		}
		if roadDone && one.stage == scheduler.StageTemporaries {
			one.stage = scheduler.StageRaising
		}
		count++
		out = append(out, one)
	}
	return out
}

// workDay is a working day of the dormant season near so many years after
// planting; a tree without a closed season may be worked in summer.
func (c *City) workDay(r *rand.Rand, l *life, years float64) scheduler.Date {
	near := l.planted.AddDays(int(years * 365.25))
	d := scheduler.NewDate(near.Year(), 1, 4).AddDays(r.IntN(70))
	if l.kind.season == "" && chance(r, 0.2) {
		d = scheduler.NewDate(near.Year(), 6, 15).AddDays(r.IntN(70))
	}
	if wd := d.Weekday(); wd == 0 || wd == 6 {
		d = d.AddDays(2)
	}
	return d
}

// visitRow writes a visit in the order of the history layer. Its ref is given
// when the rows are counted.
func (c *City) visitRow(r *rand.Rand, l *life, ref string, one visit, road, walk float64) Entry {
	dbh := l.dbh(one.on)
	minutes := 3 + r.IntN(5)
	crew := fmt.Sprintf("Training crew %d", 1+r.IntN(2))
	switch one.kind {
	case scheduler.RotationPrune:
		minutes, crew = int(15+dbh*between(r, 0.6, 1.3)), fmt.Sprintf("Lift crew %d", 1+r.IntN(3))
	case scheduler.WalkClearance, scheduler.RoadClearance:
		minutes = 6 + r.IntN(10)
	}
	var stage, live, measured, note any
	if one.stage != "" {
		stage = string(one.stage)
	}
	if one.live > 0 {
		live = int64(one.live)
	}
	if chance(r, 0.35) {
		measured = geo.Length(math.Round(10 * dbh))
	}
	if one.kind == scheduler.Training && chance(r, 0.08) {
		note = "competing leader reduced, look again next visit"
	}
	return Entry{Row: scheduler.Row{Values: []any{
		nil, ref, one.on, string(one.kind), stage, live, int64(minutes), tenth(road), tenth(walk), measured, crew, note,
	}}}
}
