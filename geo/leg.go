package geo

import "math"

// leg is another block that touches an end of a block, and on which sides of
// that block, looking along it, the leg goes off. One that merely carries the
// street on goes off on neither, one that passes through the junction on both.
type leg struct {
	block       int32
	left, right bool
}

const (
	// headingOver is how much of a block, in metres, tells its heading at an end:
	// the roundings of curbs and the last vertices of a map lie within it.
	headingOver = 10.0
	// turnsOff is the sine of the least angle at which a leg goes off: about 15°.
	turnsOff = 0.25
)

// legs lists the blocks other than this one that touch its start or its end.
func (g *Ground) legs(block int32, start bool) []leg {
	b := &g.Blocks[block]
	end := b.Path.End()
	if start {
		end = b.Path.Start()
	}
	u := b.Path.heading(start)
	if !start { // along the block's own direction
		u = u.Scale(-1)
	}
	var list []leg
	g.blocks.each(end, func(i int32) {
		o := &g.Blocks[i]
		if i == block || o.Path.box.beyond(end, meetReach) || o.Path.Distance(end) > meetReach {
			return
		}
		l := leg{block: i}
		atStart := apart(o.Path.Start(), end) <= meetReach
		if atStart == (apart(o.Path.End(), end) <= meetReach) {
			l.left, l.right = true, true
		} else {
			w := o.Path.heading(atStart)
			sine := u.X*w.Y - u.Y*w.X
			least := turnsOff * math.Sqrt((u.X*u.X+u.Y*u.Y)*(w.X*w.X+w.Y*w.Y))
			l.left, l.right = sine > least, -sine > least
		}
		list = append(list, l)
	})
	return list
}

// heading is the vector from an end of the path into it, over its first metres.
func (p *Path) heading(start bool) Point {
	if start {
		return p.At(headingOver / p.length).Sub(p.Start())
	}
	return p.At(1 - headingOver/p.length).Sub(p.End())
}
