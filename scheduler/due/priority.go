package due

import "limbround/scheduler"

// Strict classes come first; the score orders only within a class. It is one
// published formula, and the visit's reason shows every term:
//
//	street    30 arterial, 20 collector, 10 residential, 5 otherwise
//	height    one for each metre of the tree, 20 at most
//	late      10 for each growing season past the latest day, 40 at most
//	deadline  15 when a cut, reach, warranty or legal limit bounds the visit
type score struct{ street, height, late, deadline int }

func (s score) sum() int { return s.street + s.height + s.late + s.deadline }

const scoreSource = "formula: street + height + late + deadline, common practice"

// classOf gives a task its class on the day: its own, or 3 when its deadline
// falls before the next season opens.
func (d *draft) classOf(t *task) int {
	if t.class < 4 || t.deadline.IsZero() || d.today > t.deadline {
		return t.class
	}
	c := &d.e.cal
	next, _ := c.dormantIn(c.before(d.today) + 1)
	if t.deadline < next {
		return 3
	}
	return 4
}

func (d *draft) score(w scheduler.Window, deadline bool) score {
	s := score{street: streetWeight(d.s.StreetClass)}
	s.height = min(20, max(0, int(d.at(w.Due).Height.M())))
	if d.today > w.Latest {
		c := &d.e.cal
		s.late = min(40, 10*max(0, c.counted(d.today)-c.counted(w.Latest)))
	}
	if deadline {
		s.deadline = 15
	}
	return s
}

func (d *draft) scoreText(class int, s score) phrase {
	return d.say("Class ").num(class).str(" (").str(classWord(class)).str("), score ").num(s.sum()).str(" = street ").num(s.street).
		str(" + height ").num(s.height).str(" + late ").num(s.late).str(" + deadline ").num(s.deadline).
		str("; higher first within the class.").end()
}

func classWord(class int) string {
	switch class {
	case 0:
		return "make safe, hours"
	case 1:
		return "rated or dead, days"
	case 2:
		return "legal clearance, weeks"
	case 3:
		return "deadline before the next open season"
	}
	return "routine"
}
