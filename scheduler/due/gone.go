package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// notOurs answers for a tree of another owner: one line that says so.
func (d *draft) notOurs() []scheduler.Visit {
	k := scheduler.Inspection
	return []scheduler.Visit{{
		TreeID: d.t.ID, SiteID: d.t.SiteID, Kind: k, Kinds: []scheduler.WorkKind{k}, State: scheduler.NotOurs, Progress: scheduler.Open,
		Class: 4, Skill: scheduler.Ground, PolicyID: d.e.policy.ID, AsOf: d.today,
		Objectives: []string{}, Limits: []string{}, Cautions: []string{},
		Reasons: []scheduler.Reason{{Rule: "owner", Text: "The tree belongs to another owner (" + string(d.s.Owner) + "): no work of ours.", Source: "inventory"}},
	}}
}

// removal adds the removal of a dead tree: days when it can reach a target,
// which every street tree taller than its distance to the walk or road can.
func (d *draft) removal() {
	fact := d.factDate()
	class, word := 2, "It stands clear of walk and road by more than its height."
	if d.reachesTarget(fact) {
		class, word = 1, "It is tall enough to reach the walk or the road."
	}
	by := fact.AddDays(d.e.practice.RemovalDays)
	i := d.add(task{
		kind: scheduler.Removal, class: class, skill: d.highSkill(fact), deadline: by,
		w: scheduler.Window{Earliest: fact, Due: fact, Latest: by},
	})
	d.because(i, "removal.dead", d.say("Recorded as dead: take it down within ").num(d.e.practice.RemovalDays).str(" days of ").day(fact).str(". ").str(word).
		str(" A qualified assessor decides on a closure until then.").end(), commonPractice)
	d.claim(i, fact)
}

func (d *draft) reachesTarget(on scheduler.Date) bool {
	h := d.at(on).Height
	if h <= 0 {
		return true // not known: the safe answer
	}
	near := geo.None
	for _, l := range [...]geo.Length{d.s.ToWalk, d.s.ToCurb, d.s.ToLane} {
		if l.Known() && (!near.Known() || l < near) {
			near = l
		}
	}
	return !near.Known() || near < h
}

// stump adds the grinding of a stump, which frees the site for planting: in
// the dormant season under way, so that the spring's planting is not lost, or in
// the next. With less than half of the season left it may wait for the next.
func (d *draft) stump() {
	c := &d.e.cal
	fact := d.factDate()
	y := c.at(fact)
	from, to := c.dormantIn(y)
	if fact > from+(to-from)/2 {
		_, to = c.dormantIn(y + 1)
	}
	i := d.add(task{kind: scheduler.StumpGrinding, class: 4, skill: scheduler.Ground, w: scheduler.Window{Earliest: fact, Due: max(fact, from), Latest: max(fact, to)}})
	d.because(i, "stump.replant", d.say("Grind the stump before the planting season; utilities are located first.").end(), commonPractice)
}

// factDate is the newest dated fact about the tree, which is when a record found
// it dead, or the day from which records count; never before its planting.
func (d *draft) factDate() scheduler.Date {
	if f := max(lastSeen(d.t), d.t.MeasuredOn, d.t.BaseOn, d.t.LastInspected, d.t.BrokenOn); !f.IsZero() {
		return max(f, d.t.Planted)
	}
	if f := max(d.e.start, d.t.Planted); !f.IsZero() {
		return f
	}
	return d.today
}
