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
	sides sides
}

// recordYears is how far back the city's records go; older visits happened, but
// nobody wrote down what they found.
const recordYears = 11

// past draws the visits a tree has had: its first year, training every two to
// four growing seasons, rotation prunes once it is grown, and with most of them
// the clearance of the road and the walk side. What the last visits left is
// carried into the row.
func (c *City) past(r *rand.Rand, l *life, ref string, at geo.Point, side verge, v *treeValues) []Entry {
	how := c.careFor(r, at)
	visits := c.visits(r, l, how, side)
	out := make([]Entry, 0, len(visits))
	last := l.planted.AddDays(21)
	for _, one := range visits {
		if one.on <= last.AddDays(20) || one.on >= c.req.Today.AddDays(-7) {
			continue
		}
		last = one.on
		row := c.visitRow(r, l, ref, one)
		if one.on < c.req.Today.AddYears(-recordYears) {
			continue
		}
		out = append(out, row)
		if one.sides.road > 0 {
			v.baseRoad, v.baseWalk = tenth(one.sides.road), tenth(one.sides.walk)
		}
		if one.stage != "" {
			v.stage = string(one.stage)
		}
	}
	return out
}

// visits lists what was done, in order of the days.
func (c *City) visits(r *rand.Rand, l *life, how care, side verge) []visit {
	age := l.planted.YearsTo(c.req.Today)
	if !how.seen {
		if age < 15 || !chance(r, 0.06) {
			return nil
		}
		look := visit{on: c.req.Today.AddDays(-60 - r.IntN(600)), kind: scheduler.FirstLook, stage: scheduler.StageTemporaries}
		if age > 20 {
			look.stage = scheduler.StageRotation
		}
		look.sides = l.clear(look.on, side, l.grown(look.on))
		return []visit{look}
	}
	var out []visit
	if chance(r, how.young) { // ties off and a look at the roots, in the first growing season after six months
		out = append(out, visit{on: l.planted.AddDays(195 + r.IntN(100)), kind: scheduler.Establishment, stage: scheduler.StageEstablishing})
	}
	out = append(out, c.programme(r, l, how, side)...)
	if how.lapsed > 0 {
		stop := c.req.Today.AddDays(-int(365 * how.lapsed))
		for len(out) > 0 && out[len(out)-1].on > stop {
			out = out[:len(out)-1]
		}
	} else if side.corner && chance(r, how.thorough) && len(out) > 0 && out[len(out)-1].sides.walk < 2.5 {
		out = append(out, visit{on: c.lastSummer().AddDays(r.IntN(50)), kind: scheduler.SightClearance})
	}
	return out
}

// lastSummer is the first of June of the last summer whose looks are done.
func (c *City) lastSummer() scheduler.Date {
	d := scheduler.NewDate(c.req.Today.Year(), 6, 1)
	if d.AddDays(60) >= c.req.Today {
		d = d.AddYears(-1)
	}
	return d
}

// programme is the visits from the first structural one on. Years are those of
// the growing seasons that a visit in winter follows.
func (c *City) programme(r *rand.Rand, l *life, how care, side verge) []visit {
	var out []visit
	planted := l.planted.Year()
	if l.planted.Month() > 7 {
		planted++
	}
	var state sides
	year := planted + max(1, int(l.caliper/2.54+0.5)) + pick(r, []float64{75, 25})
	for last := c.req.Today.Year(); year <= last; {
		on := c.workDay(r, l, year)
		rotation := year-planted > 20
		base := l.grown(on)
		state.road, state.walk = max(state.road, base.road), max(state.walk, base.walk)
		one := visit{on: on, kind: scheduler.Training, live: 10 + r.IntN(12), sides: state}
		if chance(r, how.thorough) {
			one.sides = l.clear(on, side, state)
			state = one.sides
		}
		switch {
		case rotation:
			one.kind, one.stage, one.live = scheduler.RotationPrune, scheduler.StageRotation, 5+r.IntN(10)
		case l.kind.conifer:
			one.kind, one.live = scheduler.Inspection, 0
		case year-planted < 8 || state.walk < 2.4:
			one.stage = scheduler.StageLeader
		case state.road < 4:
			one.stage = scheduler.StageTemporaries
		default:
			one.stage = scheduler.StageRaising
		}
		if one.sides.kind != "" { // a crew with cones and signs clears the sides some weeks before
			out = append(out, visit{on: weekday(on.AddDays(-23 - r.IntN(9))), kind: one.sides.kind, live: 3 + r.IntN(5), sides: one.sides})
		}
		out = append(out, one)
		gap := []float64{0, 0, 10, 62, 28}
		switch {
		case rotation && l.dbh(on) <= 16:
			gap = []float64{0, 0, 0, 30, 70}
		case rotation:
			gap = []float64{0, 0, 0, 0, 0, 0, 0, 20, 45, 25, 10}
		}
		next := year + pick(r, gap)
		for again := year + 4; one.sides.reduced && again < next-1 && again <= last; again += 4 {
			out = append(out, visit{on: c.workDay(r, l, again), kind: one.sides.kind, live: 3 + r.IntN(5), sides: one.sides})
		}
		year = next
	}
	return out
}

// grown is where the foliage begins on both sides of a tree nobody has raised.
func (l *life) grown(on scheduler.Date) sides {
	low := l.lowest(on)
	return sides{road: low, walk: low}
}

// workDay is a working day of the dormant season that ends in a year; a tree
// without a closed season may be worked in summer, a host of fire blight only
// from February to early April.
func (c *City) workDay(r *rand.Rand, l *life, year int) scheduler.Date {
	d := scheduler.NewDate(year, 1, 4).AddDays(r.IntN(70))
	switch {
	case l.kind.season == "fire_blight":
		d = scheduler.NewDate(year, 3, 6).AddDays(r.IntN(22))
	case l.kind.season == "" && chance(r, 0.2):
		d = scheduler.NewDate(year, 6, 15).AddDays(r.IntN(50))
	}
	return weekday(d)
}

// weekday moves a day of the weekend to the next week.
func weekday(d scheduler.Date) scheduler.Date {
	if wd := d.Weekday(); wd == 0 || wd == 6 {
		return d.AddDays(2)
	}
	return d
}

// visitRow writes a visit in the order of the history layer. Its ref is given
// when the rows are counted.
func (c *City) visitRow(r *rand.Rand, l *life, ref string, one visit) Entry {
	dbh := l.dbh(one.on)
	minutes := 3 + r.IntN(5)
	crew := fmt.Sprintf("Training crew %d", 1+r.IntN(2))
	switch one.kind {
	case scheduler.RotationPrune:
		minutes, crew = int(15+dbh*between(r, 0.6, 1.3)), fmt.Sprintf("Lift crew %d", 1+r.IntN(3))
	case scheduler.WalkClearance, scheduler.RoadClearance:
		minutes = 6 + r.IntN(10)
	}
	var stage, live, measured, note, road, walk any
	if one.sides.road > 0 {
		road, walk = tenth(one.sides.road), tenth(one.sides.walk)
	}
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
		nil, ref, one.on, string(one.kind), stage, live, int64(minutes), road, walk, measured, crew, note,
	}}}
}
