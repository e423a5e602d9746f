package geo

import (
	"math"
	"strconv"
)

// A site's surroundings are reduced to numbers: the nearest block, walk, wire,
// sign, light and junction are looked for once, when any of them changes, and
// the rules then need no geometry. All distances run from the trunk's centre in
// the horizontal.
//
// The block is the nearest centreline within BlockReach, of several at one
// distance the one with the lowest number. The side is the sign of the cross
// product of the block's direction at the foot of the tree with the vector from
// that foot to the tree; a tree in the median counts to the left. The curb is
// half the street's width from the centreline. A parking lane adds 2.4 m to the
// edge of the nearest travel lane.
//
// A junction is an end of the block that touches another block, at most
// JunctionReach along it. Whether the site lies in a sight triangle of a
// junction follows from the speeds and classes of the streets (sight.go).
//
// Walks, wires, signs and lights count within SideReach. Wires that lie within
// the same tenth of a metre are taken to hang on the same poles: the most
// dangerous class counts, then the lowest, then the first.
//
// Every candidate comes from a grid (near) and is measured with the database's
// own formulas (Path, Region), so that the numbers are equal to those of spatial
// SQL to the millimetre; a test holds the two against each other.
const parkingLane = 2400 * Millimetre

// Reduced are the numbers of one site. Ids are 0 and lengths None where there
// is nothing near.
type Reduced struct {
	District, Section, Block, Face int64
	Left                           bool   // the site lies on the left of the block
	Parking                        bool   // a parking lane on the site's side
	Along                          Length // from the block's first vertex to the foot of the tree
	ToCurb, ToLane, HalfRoad       Length
	ToWalk                         Length
	WireRank                       int // 0 for no wire
	WireVolts                      int // of that wire, to ground; 0 when not recorded
	ToWire, WireHeight             Length
	ToSign, ToLight                Length
	ToJunction                     Length
	InSight                        bool
}

// Reduce answers the numbers of the site at q. The ground must be Ready.
func (g *Ground) Reduce(q Point) Reduced {
	r := Reduced{
		District: firstCovering(g.Districts, q), Section: firstCovering(g.Sections, q),
		Along: None, ToCurb: None, ToLane: None, HalfRoad: None, ToJunction: None, ToWire: None, WireHeight: None,
		ToWalk: g.toWalk(q), ToSign: toNearest(g.signs, g.Signs, q), ToLight: toNearest(g.lights, g.Lights, q),
	}
	if w, away := g.wire(q); w != nil {
		r.WireRank, r.WireVolts, r.ToWire, r.WireHeight = w.Rank, w.Volts, millimetres(away), w.Height
	}
	if b, away := g.block(q); b != nil {
		g.onBlock(&r, b, away, q)
	}
	return r
}

// firstCovering is the lowest number of the areas that cover q, 0 for none.
func firstCovering(areas []Area, q Point) int64 {
	var first int64
	for i := range areas {
		if a := &areas[i]; (first == 0 || a.ID < first) && a.Region.Covers(q) {
			first = a.ID
		}
	}
	return first
}

// block is the nearest block within reach, nil for none, and its distance.
func (g *Ground) block(q Point) (*Block, float64) {
	var best *Block
	least := BlockReach
	g.blocks.each(q, func(i int32) {
		b := &g.Blocks[i]
		if b.Path.box.beyond(q, least) {
			return
		}
		if d := b.Path.Distance(q); d < least || d == least && (best == nil || b.ID < best.ID) {
			best, least = b, d
		}
	})
	return best, least
}

func (g *Ground) onBlock(r *Reduced, b *Block, away float64, q Point) {
	at := b.Path.Locate(q)
	r.Block, r.HalfRoad, r.Left = b.ID, b.Half, b.Path.left(q, at)
	r.Along = millimetres(at * b.Path.length)
	r.ToCurb = max(0, millimetres(away)-b.Half)
	r.Face, r.Parking = b.FaceRight, b.ParkRight
	if r.Left {
		r.Face, r.Parking = b.FaceLeft, b.ParkLeft
	}
	r.ToLane = r.ToCurb
	if r.Parking {
		r.ToLane += parkingLane
	}
	back := max(0, millimetres(b.Path.length)-r.Along)
	if len(b.atStart) > 0 && r.Along <= JunctionReach {
		r.ToJunction = r.Along
	}
	if len(b.atEnd) > 0 && back <= JunctionReach && (!r.ToJunction.Known() || back < r.ToJunction) {
		r.ToJunction = back
	}
	spot := beside{q: q, left: r.Left, toLane: r.ToLane, toCurb: r.ToCurb}
	r.InSight = g.inTriangle(b, b.atStart, spot, r.Along) || g.inTriangle(b, b.atEnd, spot, back)
}

func (g *Ground) toWalk(q Point) Length {
	best := None
	g.walks.each(q, func(i int32) {
		w := &g.Walks[i]
		if w.Path.box.beyond(q, SideReach) {
			return
		}
		if d := w.Path.Distance(q); d <= SideReach {
			if edge := max(0, millimetres(d)-w.Half); !best.Known() || edge < best {
				best = edge
			}
		}
	})
	return best
}

// wire is the line that counts at q, nil for none within reach, and its distance.
func (g *Ground) wire(q Point) (best *Wire, away float64) {
	tenths := int64(0)
	g.wires.each(q, func(i int32) {
		w := &g.Wires[i]
		if w.Path.box.beyond(q, SideReach) {
			return
		}
		d := w.Path.Distance(q)
		if d > SideReach {
			return
		}
		if t := tenthsOf(d); best == nil || t < tenths || t == tenths && w.before(best) {
			best, away, tenths = w, d, t
		}
	})
	return best, away
}

// before orders wires on the same poles.
func (w *Wire) before(o *Wire) bool {
	switch {
	case w.Rank != o.Rank:
		return w.Rank > o.Rank
	case w.Height != o.Height:
		return o.Height == None || w.Height != None && w.Height < o.Height
	}
	return w.ID < o.ID
}

func toNearest(n *near, pts []Point, q Point) Length {
	best := math.Inf(1)
	n.each(q, func(i int32) { best = min(best, apart(pts[i], q)) })
	if best > SideReach {
		return None
	}
	return millimetres(best)
}

// millimetres rounds metres as the database's round does: a half to the even side.
func millimetres(m float64) Length { return Length(math.RoundToEven(m * 1000)) }

// tenthsOf rounds metres to tenths as the database does for decimal numbers: from
// the value printed with 15 digits, a half up. Only near a half does that matter.
func tenthsOf(m float64) int64 {
	whole, rest := math.Modf(m * 10)
	switch {
	case rest < 0.499999:
		return int64(whole)
	case rest > 0.500001:
		return int64(whole) + 1
	}
	text := strconv.FormatFloat(m, 'g', 15, 64)
	printed, err := strconv.ParseFloat(text+"e4", 64) // in tenths of a millimetre, where a half is a whole number
	if err != nil {
		return int64(math.Round(m * 10))
	}
	return int64(math.Floor((printed + 500) / 1000))
}
