package city

import (
	"fmt"
	"iter"
	"math"

	"limbround/geo"
	"limbround/scheduler"
)

// face holds what lies behind the curb of a block, the same on both sides, in
// metres: curb, planting strip with the trees in it, walk.
type face struct {
	tree  float64 // curb to trunk
	strip float64 // curb to walk
	walk  float64 // width of the walk
	clear float64 // from the junction to where walks begin
}

func (c *City) face(i int) face {
	r := draw(c.req.Seed, streamBlock, i)
	f := face{tree: math.Round(between(r, 0.75, 1.35)*20) / 20}
	f.strip = f.tree + between(r, 0.9, 1.7)
	f.walk = math.Round(between(r, 1.5, 2.4)*10) / 10
	f.clear = c.streets[i].half() + 3
	return f
}

// built reports whether the block has walks, lights and trees at all.
func (s *block) built() bool { return s.Class != scheduler.Alley && !s.Bridge }

var bothSides = [2]struct {
	sign   float64
	letter string
	onLeft bool
}{{1, "L", true}, {-1, "R", false}}

func (c *City) walks() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		for i := range c.streets {
			s := &c.streets[i]
			f := c.face(i)
			total := length(s.Line)
			if !s.built() || total < 2*f.clear+8 {
				continue
			}
			for _, side := range bothSides {
				line := offset(s.Line, side.sign*(s.half()+f.strip+f.walk/2), f.clear, total-f.clear)
				values := []any{fmt.Sprintf("K%06d%s", i+1, side.letter), geo.Metres(f.walk)}
				if !yield(Entry{Row: scheduler.Row{Values: values, Shape: geo.NewLine(4326, c.lonLats(line))}}) {
					return
				}
			}
		}
	}
}
