package due

import "limbround/scheduler"

// A failing tree. A weak union only grows: once its stem has passed the largest
// cut that a crew makes, pruning postpones the break and does not mend it. On a
// species that breaks easily the manager gets a date by which to decide on
// removal and replacement: a number of years after that growing season, before
// the winter in which they end (common practice; the years are a policy value).
// Whoever decides to keep the tree writes the stem down as held, and the date
// is no longer asked for.

// decide puts the date on the yearly look at the unions, or on the routine
// visit, the first task, where there is none.
func (d *draft) decide() {
	w := d.worstUnion()
	if w == nil || !w.IncludedBark || w.Diameter <= 0 || w.SeenOn <= 0 || w.Intent == scheduler.HoldTier {
		return
	}
	if d.p.storm.because == "" && d.p.species.Ice != scheduler.RatingHigh {
		return
	}
	limit := d.p.cuts.callAbove(d.p.species.Decay)
	year, ok := d.outgrown(w, float64(limit))
	if !ok {
		return
	}
	c := &d.e.cal
	_, end := c.growingIn(max(year+d.e.practice.DecideYears, c.full(w.SeenOn)))
	by, _ := c.dormantIn(c.before(end) + 1)
	by--
	if m := d.p.species.MatureHeight; d.stage != scheduler.StageRotation && (m <= 0 || d.at(by).Height*4 < m*3) {
		return // still to be trained
	}
	i := 0
	for j := range d.n {
		if d.tasks[j].kind == scheduler.Inspection {
			i = j
		}
	}
	s := d.item(w, "The species breaks easily, and the worst union on record, ")
	if c.counted(w.SeenOn) >= year {
		s = s.str(", is past the largest cut, ").width(limit)
	} else {
		s = s.str(", passes the largest cut, ").width(limit).str(", in ").growing(year)
	}
	d.because(i, "union.decide", s.str(": by ").day(by).
		str(" the manager decides on removal and replacement, with the word of a qualified assessor, or has it held for good.").end(), commonPractice)
}

// outgrown is the growing season at whose end the stem is thicker than a limit,
// looked for from twenty seasons before it was measured to the next routine
// visit; false when it is not by then.
func (d *draft) outgrown(w *scheduler.WatchItem, limit float64) (int, bool) {
	c := &d.e.cal
	then := float64(d.at(w.SeenOn).DBH)
	stem := float64(max(w.StemDiameter, w.Diameter))
	from, last := c.counted(w.SeenOn)-20, c.counted(max(d.tasks[0].w.Due, w.SeenOn))
	return firstYear(from, last, func(y int) bool {
		_, end := c.growingIn(y)
		now := float64(d.at(end).DBH)
		if then <= 0 {
			now, then = 1, 1
		}
		return float64(w.Diameter)+stem*(now-then)/then*float64(d.growthPct(w))/100 > limit // as branchAt, backward too
	})
}

// worstUnion is the thickest of the unions and cracks that earlier visits left
// on record; nil for none.
func (d *draft) worstUnion() *scheduler.WatchItem {
	var worst *scheduler.WatchItem
	for i := range d.t.Watch {
		it := &d.t.Watch[i]
		if !it.Resolved && (it.IncludedBark || holds(it.What, "union") || holds(it.What, "crack")) && (worst == nil || it.Diameter > worst.Diameter) {
			worst = it
		}
	}
	return worst
}
