package city

import (
	"math"
	"math/rand/v2"

	"limbround/geo"
	"limbround/scheduler"
)

// network is the plan of the streets before they are cut into blocks: long
// centre lines that cross each other and the river.
type network struct {
	seed   uint64
	radius float64
	river  river
	hoods  []hood
	lines  []centreLine
	named  map[string]bool
}

// centreLine is one street from end to end.
type centreLine struct {
	pts    []geo.Point
	class  scheduler.StreetClass
	name   string
	oneWay string
	tail   bool // its last point is a turning head: a real dead end
	quay   bool // a riverside drive
	bridge bool // crosses the river
	over   bool // and passes over the drives without joining them
	bus    bool
	middle bool // of the downtown grid
}

// newNetwork draws the centre lines of a city with about a block for every
// twelve trees, and never fewer than a hundred and fifty blocks.
func newNetwork(seed uint64, trees int) *network {
	blocks := max(trees/12, 150)
	n := &network{seed: seed, named: map[string]bool{}}
	// Blocks on a square kilometre of these grids, as counted; fewer in a large city.
	perKm2 := 137.0
	if blocks > 2500 {
		perKm2 = 130
	}
	n.radius = 1000 * math.Sqrt(float64(blocks)/perKm2/math.Pi)
	n.river = newRiver(seed, n.radius)
	n.hoods = newHoods(seed, n.radius, blocks)
	n.drives()
	n.crossings()
	n.diagonals()
	for i := range n.hoods {
		n.gridLines(i)
	}
	for i := range n.hoods {
		n.backLanes(i)
	}
	return n
}

// drives follow both banks of the river.
func (n *network) drives() {
	out := 1.1 * n.radius
	for i, side := range []float64{1, -1} {
		pts := n.river.bank(-out, out, 60, side*(n.river.half+quay))
		var in []geo.Point
		for _, p := range pts {
			if math.Hypot(p.X, p.Y) < n.radius {
				in = append(in, p)
			}
		}
		if len(in) > 2 {
			n.add(centreLine{pts: in, class: scheduler.Collector, name: []string{"North Quay", "South Quay"}[i], quay: true})
		}
	}
}

// diagonals are the avenues between neighbourhoods and two more that run out
// from the middle.
func (n *network) diagonals() {
	r := draw(n.seed, streamHood, 1)
	for i := range n.hoods {
		h := &n.hoods[i]
		for k, other := range h.facing {
			if other <= i {
				continue
			}
			a, b := h.cell[k], h.cell[(k+1)%len(h.cell)]
			if a.Distance(b) < 80 {
				continue
			}
			lap := b.Sub(a).Scale(2 / a.Distance(b))
			n.add(centreLine{pts: []geo.Point{a.Sub(lap), b.Add(lap)}, class: scheduler.Arterial, name: n.avenue(r), bus: chance(r, 0.6)})
		}
	}
	if n.radius < 900 {
		return
	}
	start := between(r, 0, 2*math.Pi)
	for i := range 2 {
		s, c := math.Sincos(start + float64(i)*between(r, 1.9, 2.6))
		n.add(centreLine{
			pts:   []geo.Point{{X: 0.12 * n.radius * c, Y: 0.12 * n.radius * s}, {X: 0.95 * n.radius * c, Y: 0.95 * n.radius * s}},
			class: scheduler.Arterial, name: n.avenue(r), bus: true,
		})
	}
}

// gridLines draws the two families of parallel streets of one hood.
func (n *network) gridLines(i int) {
	h := &n.hoods[i]
	r := draw(n.seed, streamHood, 100+i)
	reach := h.reach()
	for family := range 2 {
		step, dir := h.deep, h.at(1, 0).Sub(h.seed)
		if family == 1 {
			step, dir = h.wide, h.at(0, 1).Sub(h.seed)
		}
		for k := -int(reach / step); k <= int(reach/step); k++ {
			from := h.at(0, float64(k)*step)
			if family == 1 {
				from = h.at(float64(k)*step, 0)
			}
			t0, t1, ok := h.span(from, dir)
			if !ok {
				continue
			}
			l := n.gridLine(r, i, family, k)
			l.pts = []geo.Point{from.Add(dir.Scale(t0 - 2)), from.Add(dir.Scale(t1 + 2))}
			n.add(l)
		}
	}
}

// gridLine is the k-th street of a family, without its course. In the middle
// hood, line 0 of the first family is Weir Street with its bus lane and line 0
// of the second Foundry Avenue; every other residential street is one-way,
// neighbours in opposite directions.
func (n *network) gridLine(r *rand.Rand, hood, family, k int) centreLine {
	l := centreLine{class: scheduler.Residential, middle: hood == 0}
	every := 10 - 4*family // an arterial about every kilometre, a collector between two
	switch (k%every + every) % every {
	case 0:
		l.class = scheduler.Arterial
	case every / 2:
		l.class = scheduler.Collector
	}
	if hood == 0 && l.class == scheduler.Residential && k > -8 && k < 8 {
		l.oneWay = []string{"forward", "backward"}[k&1]
	}
	switch {
	case hood == 0 && family == 0 && k == 0:
		n.named[weir] = true
		l.name, l.bus = weir, true
	case hood == 0 && family == 1 && k == 0:
		n.named[foundry] = true
		l.name, l.class = foundry, scheduler.Collector
	case family == 0:
		l.name = n.street(r)
	default:
		l.name = n.avenue(r)
	}
	if l.class == scheduler.Arterial && chance(r, 0.6) {
		l.bus = true
	}
	return l
}

// backLanes draws alleys through the middle of old blocks and culs-de-sac into
// the wide blocks of the outer hoods.
func (n *network) backLanes(i int) {
	h := &n.hoods[i]
	r := draw(n.seed, streamHood, 200+i)
	reach := h.reach()
	ny, nx := int(reach/h.deep), int(reach/h.wide)
	for ky := -ny; ky < ny; ky++ {
		for kx := -nx; kx < nx; kx++ {
			x, y := float64(kx)*h.wide, float64(ky)*h.deep
			u := r.Float64()
			switch {
			case h.old && u < 0.16 && h.inside(x-5, y, h.wide+10, h.deep):
				mid := y + h.deep/2
				n.add(centreLine{pts: []geo.Point{h.at(x-2, mid), h.at(x+h.wide+2, mid)}, class: scheduler.Alley})
			case h.outer && u < 0.07 && h.inside(x, y-5, h.wide, h.deep+10):
				mid := x + h.wide*between(r, 0.4, 0.6)
				n.add(centreLine{
					pts:   []geo.Point{h.at(mid, y-2), h.at(mid, y+0.62*h.deep)},
					class: scheduler.Residential, name: n.court(r), tail: true,
				})
			}
		}
	}
}

// inside reports whether a rectangle of the grid frame lies in the cell.
func (h *hood) inside(x, y, w, d float64) bool {
	for _, p := range []geo.Point{h.at(x, y), h.at(x+w, y), h.at(x+w, y+d), h.at(x, y+d)} {
		if !h.holds(p) {
			return false
		}
	}
	return true
}

// crossings are the avenues that cross the river, square to its course, some
// 1.5 km apart in a large city. They alone have bridges; every second one
// passes over the riverside drives without joining them.
func (n *network) crossings() {
	r := draw(n.seed, streamHood, 2)
	count := min(max(int(1.5*n.radius/1500), 3), 20)
	reach := n.river.half + quay + min(0.45*n.radius, 700)
	for i := range count {
		u := n.radius * 1.5 * ((float64(i)+between(r, 0.4, 0.6))/float64(count) - 0.5)
		at := func(v float64) geo.Point { return n.river.xy(geo.Point{X: u, Y: n.river.mid(u) + v}) }
		n.add(centreLine{
			pts: []geo.Point{at(-reach), at(reach)}, class: scheduler.Arterial, name: n.avenue(r),
			bridge: true, over: i%2 == 1, bus: chance(r, 0.5),
		})
	}
}

func (n *network) add(l centreLine) { n.lines = append(n.lines, l) }
