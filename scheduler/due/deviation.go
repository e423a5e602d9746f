package due

import (
	"fmt"
	"slices"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
)

// Departures of a work record from the policy in force on the day of the work.
//
// The record is held against the tree as it stood before the work, read from
// the records that come earlier in the order of the work. So a record that
// arrives late is judged as if it had come in time; the live crown of one season is a sum, and
// a late record may show that a later one, filed long ago, went over the limit: that one's row
// is written then. A record from before the policy took effect departs from nothing.

// Deviations lists where the record departs from the policy. before is the tree
// as it stood before the work. The rows lack what the store adds: numbers, actor, time.
func (e *Engine) Deviations(in *scheduler.RecordInput, before scheduler.Tree) []scheduler.Deviation {
	r := &in.Record
	if r.Outcome == scheduler.OutcomeNotDone || in.On < e.policy.Effective || r.Source == "history" {
		return nil
	}
	d := &draft{e: e, t: &before, s: &in.Site, today: in.On, buf: make([]byte, 0, 256)}
	if d.p = e.species[before.Species]; d.p == nil {
		d.p = e.other
	}
	d.proj = d.p.curve.Project(before, d.undated())
	if before.State == "" || before.State == scheduler.Alive {
		d.settle()
	}
	c := departures{d: d, in: in, live: takesLive(r)}
	c.dose()
	c.season()
	c.tally()
	for i := range r.Watch {
		c.finding(&r.Watch[i])
	}
	c.base("road", r.BaseRoad, before.BaseRoad)
	c.base("walk", r.BaseWalk, before.BaseWalk)
	c.wire()
	return c.out
}

// departures collects the rows of one record.
type departures struct {
	d    *draft
	in   *scheduler.RecordInput
	live bool
	out  []scheduler.Deviation
}

func (c *departures) add(rule scheduler.DeviationRule, item, allowed, found string) {
	c.addTo(&c.in.Record, c.in.On, rule, item, allowed, found)
}

func (c *departures) addTo(r *scheduler.WorkRecord, on scheduler.Date, rule scheduler.DeviationRule, item, allowed, found string) {
	c.out = append(c.out, scheduler.Deviation{
		PolicyID: c.d.e.policy.ID, TreeID: c.in.Tree.ID, Tree: c.in.Tree.Ref, RecordID: r.ID, Rule: rule, Item: item,
		Allowed: allowed, Found: found, Why: r.Note, ApprovedBy: r.ApprovedBy, On: on,
	})
}

// takesLive reports whether live wood was cut.
func takesLive(r *scheduler.WorkRecord) bool {
	return r.LiveCrown > 0 || slices.ContainsFunc(r.Watch, func(w scheduler.WatchFinding) bool { return w.Reduced || removes(&w) })
}

func removes(w *scheduler.WatchFinding) bool { return strings.HasPrefix(w.Done, "removed") }

// takesAll reports whether the tree itself came down: nothing of it is left to be spared.
func takesAll(r *scheduler.WorkRecord) bool {
	return slices.Contains(r.Kinds, scheduler.Removal) || slices.Contains(r.Kinds, scheduler.StumpGrinding)
}

// dose holds the season's live crown against the limit, after this record and
// after each later one of the same season.
func (c *departures) dose() {
	if c.in.Record.LiveCrown == 0 || takesAll(&c.in.Record) {
		return
	}
	limit, _ := c.d.doseLimit()
	leaf := c.d.e.policy.Seasons.LeafOn
	season := leaf.SeasonName(leaf.DoseSeason(c.in.On))
	over := func(r *scheduler.WorkRecord, on scheduler.Date, used int) {
		if used > limit {
			c.addTo(r, on, scheduler.DeviationDose, "", fmt.Sprintf("%d %% of the live crown in the growing season %s", limit, season), fmt.Sprintf("%d %%", used))
		}
	}
	used := c.in.Record.LiveCrown
	if c.d.t.DoseSeason == leaf.DoseSeason(c.in.On) {
		used += c.d.t.DoseUsed
	}
	over(&c.in.Record, c.in.On, used)
	for _, later := range c.in.DoseAfter(c.d.t, leaf) {
		if !takesAll(later.Record) {
			over(later.Record, later.On, later.Used)
		}
	}
}

// season looks for a closed season on the day of a live cut. Making safe is an
// emergency: in a closed season it needs a named approver, so it is logged as a training cut is.
func (c *departures) season() {
	if !c.live || takesAll(&c.in.Record) {
		return
	}
	for _, k := range c.in.Record.Kinds {
		if k == scheduler.MakeSafe {
			k = scheduler.Training
		}
		if b := c.d.p.closing(k, c.in.On); b != nil {
			last := b.end(c.in.On)
			c.add(scheduler.DeviationSeason, "", fmt.Sprintf("%s: no live cut before %s (%s)", b.rule.Name, last.AddDays(1), b.rule.Authority), "live cut on "+c.in.On.String())
			return
		}
	}
}

// tally looks for cuts that surely were above the size that needs a call: those
// of a class of the tally that begins there.
func (c *departures) tally() {
	if takesAll(&c.in.Record) {
		return
	}
	limit, t := c.d.p.cuts.callAbove(c.d.p.species.Decay), &c.in.Record.Cuts
	n, from := 0, ""
	for _, class := range []struct {
		begins geo.Length
		cuts   int
		word   string
	}{{geo.Inches(1), t.OneTwo, "1 in"}, {geo.Inches(2), t.TwoFour, "2 in"}, {geo.Inches(4), t.Over4, "4 in"}} {
		if class.begins >= limit && class.cuts > 0 {
			if n == 0 {
				from = class.word
			}
			n += class.cuts
		}
	}
	if n > 0 {
		c.add(scheduler.DeviationCut, "", fmt.Sprintf("call before a cut above %d mm", int(limit)), fmt.Sprintf("%d above %s", n, from))
	}
}

// finding holds the removal of a watched branch against the cut table, and
// against the full growing season that must pass after its reduction.
func (c *departures) finding(w *scheduler.WatchFinding) {
	if !removes(w) || w.Letter == "" {
		return
	}
	i := slices.IndexFunc(c.d.t.Watch, func(it scheduler.WatchItem) bool { return it.Letter == w.Letter })
	if i < 0 {
		return
	}
	it := &c.d.t.Watch[i]
	branch, stem := it.Diameter, it.StemDiameter
	if w.Diameter > 0 {
		branch = w.Diameter
	}
	if w.StemDiameter > 0 {
		stem = w.StemDiameter
	}
	if answer := c.d.p.cuts.judge(branch, stem, c.d.p.species.Decay); branch > 0 && answer > cellEither && (answer != cellReason || c.in.Record.Note == "") {
		found := fmt.Sprintf("%s removed at %d mm", w.Letter, int(branch))
		if stem > 0 {
			found += fmt.Sprintf(" from a stem of %d mm", int(stem))
		}
		c.add(scheduler.DeviationRatio, w.Letter, answer.String(), found)
	}
	if it.ReducedOn.IsZero() || it.ReducedOn > c.in.On {
		return
	}
	if _, full := c.d.e.cal.growingIn(c.d.e.cal.full(it.ReducedOn)); c.in.On <= full {
		c.add(scheduler.DeviationTooSoon, w.Letter, "removal from "+full.AddDays(1).String()+", a full growing season after its reduction",
			fmt.Sprintf("%s reduced on %s, removed on %s", w.Letter, it.ReducedOn, c.in.On))
	}
}

// base holds a raised crown base against the highest that the live crown and
// the lowest permanent branch allow. A projected height is given the benefit of
// what is not worth raising for.
func (c *departures) base(side string, to, from geo.Length) {
	if !c.live || to <= 0 || (from.Known() && to <= from) || takesAll(&c.in.Record) {
		return
	}
	pct := geo.Length(100 - c.d.e.policy.Training.LiveCrownMin)
	floor, slack := c.d.crownFloor(c.in.On), worthRaising
	if h := c.in.Record.Height; h > 0 {
		floor, slack = h*pct/100, 0
		if c.d.t.Permanent > 0 {
			floor = min(floor, c.d.t.Permanent)
		}
	}
	if to > floor+slack {
		c.add(scheduler.DeviationBase, side, fmt.Sprintf("not above %s (%d %% live crown)", floor, 100-int(pct)), fmt.Sprintf("%s side raised to %s", side, to))
	}
}

// wire looks for a crew that is known to lack line clearance on work that needs it.
func (c *departures) wire() {
	if c.in.Crew == nil || !c.live {
		return
	}
	high := slices.ContainsFunc(c.in.Record.Kinds, func(k scheduler.WorkKind) bool {
		return k == scheduler.RotationPrune || k == scheduler.Removal || (k == scheduler.Training && c.d.leaderWork())
	})
	if c.d.wireSkill(c.in.On, high, scheduler.Ground) == scheduler.LineClearance && !c.in.Crew.Has(scheduler.LineClearance) {
		c.add(scheduler.DeviationWire, "", fmt.Sprintf("line-clearance crew within %s of the line", c.d.e.policy.Wires.Approach), "crew "+c.in.Crew.Name+" without line clearance")
	}
}
