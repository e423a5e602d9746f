package road

import (
	"math"

	"limbround/geo"
)

// cellSize is the edge of a grid cell in metres: about one block.
const cellSize = 150.0

// grid finds blocks near a point: each segment is listed in the cells that its
// bounding box touches.
type grid struct {
	cells map[cell][]int32
}

type cell struct{ x, y int32 }

func cellAt(x, y float64) cell {
	return cell{int32(math.Floor(x / cellSize)), int32(math.Floor(y / cellSize))}
}

func newGrid(blocks []block) grid {
	g := grid{make(map[cell][]int32, len(blocks))}
	for i := range blocks {
		line := blocks[i].line
		for k := 1; k < len(line); k++ {
			a, b := line[k-1], line[k]
			g.add(int32(i), a, b)
		}
	}
	return g
}

func (g grid) add(i int32, a, b geo.Point) {
	// A long segment is cut, so that a slanted one does not fill its whole box.
	parts := int(math.Ceil(a.Distance(b) / cellSize))
	step := b.Sub(a).Scale(1 / float64(max(parts, 1)))
	for k := range max(parts, 1) {
		p := a.Add(step.Scale(float64(k)))
		q := p.Add(step)
		lo := cellAt(min(p.X, q.X), min(p.Y, q.Y))
		hi := cellAt(max(p.X, q.X), max(p.Y, q.Y))
		for x := lo.x; x <= hi.x; x++ {
			for y := lo.y; y <= hi.y; y++ {
				c := cell{x, y}
				if l := g.cells[c]; len(l) == 0 || l[len(l)-1] != i {
					g.cells[c] = append(l, i)
				}
			}
		}
	}
}

// near calls visit for every block with a segment within reach of p, and for
// some that are farther; a block may come more than once.
func (g grid) near(p geo.Point, reach float64, visit func(int32)) {
	lo := cellAt(p.X-reach, p.Y-reach)
	hi := cellAt(p.X+reach, p.Y+reach)
	for x := lo.x; x <= hi.x; x++ {
		for y := lo.y; y <= hi.y; y++ {
			for _, i := range g.cells[cell{x, y}] {
				visit(i)
			}
		}
	}
}
