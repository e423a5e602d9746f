package geo

// Region is an area of one or more parts on a metric plane, each an outer ring
// with its holes, made ready for the question which points it covers.
//
// A ring's winding number about the point decides: each edge that crosses the
// point's height counts, up or down. Edges are kept in horizontal strips, so
// that a boundary of ten thousand vertices costs a look at a few of them.
// Winding numbers: K. Hormann, A. Agathos, The point in polygon problem for
// arbitrary polygons, Computational Geometry 20 (2001).
type Region struct {
	parts [][]ring
}

type ring struct {
	pts    []Point
	box    box
	strips [][]int32 // index of each edge's first vertex, by strip
	high   float64   // of a strip
}

// NewRegion returns the region of the given parts, as Shape.Parts gives them.
func NewRegion(parts [][][]Point) Region {
	var r Region
	for _, rings := range parts {
		var part []ring
		for _, pts := range rings {
			part = append(part, newRing(pts))
		}
		r.parts = append(r.parts, part)
	}
	return r
}

func newRing(pts []Point) ring {
	g := ring{pts: pts, box: boxOf(pts)}
	n := max(1, len(pts)/2)
	g.strips = make([][]int32, n)
	g.high = (g.box.y1 - g.box.y0) / float64(n)
	for i := 1; i < len(pts); i++ {
		low, top := g.strip(min(pts[i-1].Y, pts[i].Y)), g.strip(max(pts[i-1].Y, pts[i].Y))
		for s := low; s <= top; s++ {
			g.strips[s] = append(g.strips[s], int32(i-1))
		}
	}
	return g
}

func (g *ring) strip(y float64) int {
	if g.high <= 0 {
		return 0
	}
	return max(0, min(len(g.strips)-1, int((y-g.box.y0)/g.high)))
}

type where int

const (
	outside where = iota
	border
	inside
)

// Covers reports whether the point lies in the region or on its border. A point
// on the border of a hole is covered.
func (r *Region) Covers(q Point) bool {
	for _, part := range r.parts {
		if covers(part, q) {
			return true
		}
	}
	return false
}

func covers(part []ring, q Point) bool {
	for i := range part {
		switch w := part[i].locate(q); {
		case w == border:
			return true
		case (w == outside) == (i == 0): // outside the outer ring, or in a hole
			return false
		}
	}
	return len(part) > 0
}

func (g *ring) locate(q Point) where {
	if !g.box.holds(q) {
		return outside
	}
	winding := 0
	for _, i := range g.strips[g.strip(q.Y)] {
		a, b := g.pts[i], g.pts[i+1]
		side := (b.X-a.X)*(q.Y-a.Y) - (q.X-a.X)*(b.Y-a.Y)
		switch {
		case a == b:
		case side == 0 && boxOf(g.pts[i:i+2]).holds(q):
			return border
		case a.Y <= q.Y && q.Y < b.Y && side > 0:
			winding++
		case b.Y <= q.Y && q.Y < a.Y && side < 0:
			winding--
		}
	}
	if winding == 0 {
		return outside
	}
	return inside
}
