package due

import (
	"fmt"

	"limbround/scheduler"
)

// watering adds the next watering of a planted tree: at the first interval for
// some weeks from planting, or from the first day of the growing season when
// the tree was planted before it; then at the second to the season's end; and
// at the second through the further growing seasons of the policy. One is open
// at a time, counted from the last one done. What a season left undone is not
// made up for, so this is the one task that ends when its season is over.
func (d *draft) watering() {
	t, r, c := d.t, &d.e.care, &d.e.cal
	if t.Planted.IsZero() || d.today > t.Planted.AddDays(366*(r.WaterSeasons+1)) {
		return
	}
	if _, ok := d.underWarranty(); !ok { // known to the year: there is no first week
		return
	}
	first := c.counted(t.Planted)
	lastYear := first + r.WaterSeasons - 1
	begin, _ := c.growingIn(first)
	begin = max(begin, t.Planted)
	_, dormant := c.dormantIn(c.before(t.Planted))
	between := dormant < t.Planted && first == c.doseYear(t.Planted) // planted after the dormant season
	if between {
		begin = t.Planted
	}
	weekly := begin.AddDays(7 * r.WaterWeeks) // the last day of the first interval

	due, step := t.Planted, r.WaterFirst
	if t.LastWatered >= t.Planted {
		if due = t.LastWatered.AddDays(r.WaterFirst); due > weekly {
			due, step = t.LastWatered.AddDays(r.WaterThen), r.WaterThen
		}
	}
	y := c.doseYear(due)
	if _, end := c.growingIn(y); end < d.today {
		y = c.doseYear(d.today)
	}
	if y > lastYear {
		return
	}
	from, end := c.growingIn(y)
	if between && y == first {
		from = t.Planted
	}
	due = max(due, from)
	if due > weekly {
		step = r.WaterThen
	}
	i := d.add(task{kind: scheduler.Watering, class: 4, skill: scheduler.Ground, dated: true, company: alone, w: scheduler.Window{
		Earliest: max(from, due.AddDays(-step/3)), Due: due, Latest: min(end, due.AddDays(step/2)),
	}})
	s := d.say("Planted ").day(t.Planted).str(": watered every ").num(r.WaterFirst).str(" days to ").day(min(weekly, end)).
		str(", then every ").num(r.WaterThen).str(" days to ").day(end)
	if t.LastWatered >= t.Planted {
		s = s.str("; last watered on ").day(t.LastWatered)
	}
	d.because(i, "watering.round", s.str("; ").num(r.RainSkip).str(" mm of rain since then stand for one watering.").end(), commonPractice)
}

// waterWork is the list of objectives of a watering.
func waterWork(r *scheduler.CareRules) []string {
	return []string{
		fmt.Sprintf("Water slowly over the root ball, about %d l; skip after %d mm of rain and write that down", r.WaterLitres, r.RainSkip),
		"Look at leaves, mulch, ties and guard; report a tree that wilts or leans",
	}
}
