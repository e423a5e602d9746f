package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// Overhead lines. The card of a crew shows the approach distance of persons
// without line-clearance qualification and who may work; never a qualified
// worker's distances. A line of unknown class is energised; a line's position
// on the map is not verified on site; a communication line is not a power line
// but is named all the same.

// wireNear reports whether a power line comes within the approach distance of
// the crown in the horizontal on a day.
func (d *draft) wireNear(on scheduler.Date) bool {
	s := d.s
	switch s.WireClass {
	case "", scheduler.WireNone, scheduler.WireComms:
		return false
	}
	return !s.ToWire.Known() || s.ToWire-d.radius(on) < d.e.policy.Wires.Approach
}

// wireCap is the height under which the line crew keeps the tree: 0 for none.
func (d *draft) wireCap() geo.Length {
	s := d.s
	switch s.WireClass {
	case "", scheduler.WireNone, scheduler.WireComms:
		return 0
	}
	if !s.WireHeight.Known() || s.WireHeight <= d.e.policy.Wires.Approach || !s.ToWire.Known() || s.ToWire >= d.e.policy.Wires.Approach {
		return 0
	}
	return s.WireHeight - d.e.policy.Wires.Approach
}

// wireSkill raises the skill of a visit that reaches the top of the tree when
// the top is within the approach distance of a line. A line without a recorded
// height counts as within it.
func (d *draft) wireSkill(on scheduler.Date, high bool, skill scheduler.Skill) scheduler.Skill {
	if !d.wireNear(on) {
		return skill
	}
	top := d.at(on).Height
	if d.s.WireHeight.Known() && top < d.s.WireHeight-d.e.policy.Wires.Approach {
		return skill
	}
	if high || !d.s.WireHeight.Known() {
		return scheduler.LineClearance
	}
	return skill
}

// wireCaution writes the rule for the crew; false when there is no line.
func (d *draft) wireCaution(on scheduler.Date) (phrase, bool) {
	s := d.s
	switch s.WireClass {
	case "", scheduler.WireNone:
		return phrase{}, false
	case scheduler.WireComms:
		return fixed("Communication line on the map, not verified on site: treat any line that is not identified as energised."), true
	}
	if !d.wireNear(on) {
		return phrase{}, false
	}
	t := d.say("Overhead line: ").str(string(s.WireClass))
	if s.WireHeight.Known() {
		t = t.str(", lowest conductor ").height(s.WireHeight)
	}
	t = t.str(" (map, not verified on site). Nobody without line-clearance qualification brings person, tool or falling piece within ").
		height(d.e.policy.Wires.Approach)
	if s.WireClass == scheduler.WireUnknown {
		t = t.str("; its voltage is not known: it counts as energised and nothing comes near until the utility answers")
	}
	return t.str(".").end(), true
}
