package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// answer is what to do about a side on a day.
type answer struct {
	base        geo.Length // recorded, or expected by the curve
	recorded    bool
	raise       geo.Length // raise to this; 0 for no raise
	held        bool       // the raise stops at the least live crown or the planned lowest permanent branch
	reduce      bool       // cut the side back to its edge
	unreachable bool       // the mature tree cannot be raised to the legal height
	floor       geo.Length // the crown base may not be raised above this on the day
}

const worthRaising geo.Length = 150 // a smaller raise is not made for its own sake (common practice)

// crownFloor is the highest crown base allowed on a day: what the least live
// crown ratio leaves, and never beyond the planned lowest permanent branch.
func (d *draft) crownFloor(on scheduler.Date) geo.Length {
	f := d.treeHeight(on) * geo.Length(100-d.e.policy.Training.LiveCrownMin) / 100
	if p := d.permanent(); p > 0 {
		f = min(f, p)
	}
	return f
}

// treeHeight is the projected height, held under a power line above the crown.
func (d *draft) treeHeight(on scheduler.Date) geo.Length {
	h := d.at(on).Height
	if limit := d.wireCap(); limit > 0 {
		h = min(h, limit)
	}
	return h
}

// answer decides between raising, raising as far as the crown allows, and
// cutting the side back.
func (d *draft) answer(s *side, on scheduler.Date) answer {
	a := answer{base: s.base, recorded: s.base.Known(), floor: d.crownFloor(on)}
	if !a.recorded {
		a.base = min(geo.Metres(d.p.curve.CrownBase(d.at(on).DBH.CM())), a.floor)
	}
	later := addMonths(on, 12*d.interval())
	out := d.radius(later)
	if out <= s.env.edge {
		return a
	}
	a.unreachable = d.unreachable(s)
	c := d.crownOf(s, later)
	breaks := a.base-d.sag(later) < s.env.baseFor(&c, actAt)
	if !breaks && (d.stage != scheduler.StageRaising || !d.toRaise(s, &c)) {
		return a
	}
	target := s.env.heightAt(out, clearTo) + d.p.droop
	switch {
	case a.floor >= target:
		a.raise = target
	case a.floor >= a.base+worthRaising:
		a.raise, a.held = a.floor, true
		a.reduce = s.env.baseFor(&c, legal) > a.floor
	case breaks:
		a.held, a.reduce = true, true
	}
	return a
}

// matureTop is the height of a mature tree of the species on the site: under a
// power line it is held below the approach zone. 0 when neither is known.
func (d *draft) matureTop() (top geo.Length, held bool) {
	top = d.p.species.MatureHeight
	if limit := d.wireCap(); limit > 0 && (top <= 0 || limit < top) {
		return limit, true
	}
	return top, false
}

// matureFloor is the height to which a mature tree can be raised on the site.
func (d *draft) matureFloor() geo.Length {
	top, _ := d.matureTop()
	return top * geo.Length(100-d.e.policy.Training.LiveCrownMin) / 100
}

// unreachable reports whether raising can never meet the side's legal height.
func (d *draft) unreachable(s *side) bool {
	top, _ := d.matureTop()
	return top > 0 && d.matureFloor() < s.env.high.Legal
}

// unreachableWord says where raising does not reach.
func (d *draft) unreachableWord() string {
	if _, held := d.matureTop(); held {
		return " is not reachable by raising under the line"
	}
	return " is not reachable by raising on this site"
}

// raiseShare is the live crown that raising a side to its legal height takes,
// per cent: the share of the crown's height, halved because it is one side.
func (d *draft) raiseShare(s *side, on scheduler.Date) int {
	h, floor := d.treeHeight(on), d.crownFloor(on)
	c := d.crownOf(s, on)
	to := min(s.env.baseFor(&c, legal), floor)
	if to <= s.base || h <= s.base {
		return 0
	}
	return int((int64(to-s.base)*100/int64(h-s.base) + 1) / 2)
}

// clearanceSkill is the crew a side needs: the cuts lie at the height raised
// to, or in the middle of the crown when the side is cut back.
func (d *draft) clearanceSkill(s *side, on scheduler.Date) scheduler.Skill {
	limit := d.e.policy.Training.Reach
	if limit <= 0 {
		return scheduler.Ground
	}
	a := d.answer(s, on)
	if a.raise > limit || (a.reduce && d.treeHeight(on) > d.reachHeight()) {
		return scheduler.Lift
	}
	return scheduler.Ground
}

// sideObjective writes the answer as an objective; false when there is nothing to do.
func (d *draft) sideObjective(s *side, a answer) (phrase, bool) {
	if a.raise == 0 && !a.reduce {
		return phrase{}, false
	}
	t := d.say(s.word)
	switch {
	case a.raise > 0 && !a.held:
		t = t.str(": raise to ").height(a.raise)
	case a.raise > 0:
		t = t.str(": raise to ").height(a.raise).str(", as far as the crown allows today")
		if a.reduce {
			t = t.str(", and reduce what stands over the ").str(s.edgeWord())
		}
	default:
		t = t.str(": cannot be raised yet; reduce it to side branches behind the ").str(s.edgeWord())
	}
	if !a.recorded {
		t = t.str(", if found so low")
	}
	return t.str(".").end(), true
}

// hanging says what the species' limbs hang lowest under.
func (d *draft) hanging() string {
	if d.p.droop > d.p.species.Droop {
		return "under snow"
	}
	return "when wet and in leaf"
}

func (s *side) edgeWord() string {
	if s.kind == scheduler.WalkClearance {
		return "walk edge"
	}
	return "curb line"
}

// sideLimit writes the heights of a side: found, legal, act at, clear to, and
// the highest base allowed today.
func (d *draft) sideLimit(s *side, a answer) phrase {
	t := d.say(s.word)
	if a.recorded {
		t = t.str(": found ").height(a.base)
		if !d.t.BaseOn.IsZero() {
			t = t.str(" on ").day(d.t.BaseOn)
		}
	} else {
		t = t.str(": not recorded, about ").height(a.base).str(" expected by the curve (not seen)")
	}
	if s.env.far > s.env.edge {
		t = t.str("; legal ").height(s.env.low.Legal).str(" at the curb and ").height(s.env.high.Legal).str(" over the lane")
	} else {
		t = t.str("; legal ").height(s.env.high.Legal)
	}
	t = t.str(", act at ").height(s.env.high.ActAt).str(", clear to ").height(s.env.high.ClearTo)
	if d.p.droop > 0 {
		t = t.str(" and ").height(d.p.droop).str(" more, for limbs that hang ").str(d.hanging())
	}
	t = t.str("; do not raise above ").height(a.floor).str(" today (").num(d.e.policy.Training.LiveCrownMin).str(" % live crown)")
	if a.unreachable {
		t = t.str("; ").height(s.env.high.Legal).str(d.unreachableWord()).str(": list it for replacement planting")
	}
	return t.str(".").end()
}
