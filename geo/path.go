package geo

import "math"

// Path is a line of straight pieces on a metric plane, made ready for many
// questions. A path of one point is that point. The zero Path is nowhere: no
// distance to it is a number.
//
// Distance and Locate compute with the formulas of the simple features library
// that the database uses, operation by operation, so that a distance that falls
// on the edge of a millimetre rounds to the same side in both places.
type Path struct {
	pts    []Point
	length float64
	box    box
}

// NewPath returns the path through the points.
func NewPath(pts []Point) Path {
	p := Path{pts: pts, box: boxOf(pts)}
	for i := 1; i < len(pts); i++ {
		p.length += apart(pts[i-1], pts[i])
	}
	return p
}

// Start is the path's first point.
func (p *Path) Start() Point { return p.pts[0] }

// End is the path's last point.
func (p *Path) End() Point { return p.pts[len(p.pts)-1] }

// Distance is the distance in metres from q to the nearest point of the path.
func (p *Path) Distance(q Point) float64 {
	if len(p.pts) == 0 {
		return math.NaN()
	}
	best := apart(q, p.pts[0])
	for i := 1; i < len(p.pts) && best > 0; i++ {
		best = min(best, toPiece(q, p.pts[i-1], p.pts[i]))
	}
	return best
}

// apart is the distance between two points. A street map needs no care for
// overflow, so this is quicker than the general hypotenuse and equal to the
// database's arithmetic.
func apart(a, b Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	return math.Sqrt(dx*dx + dy*dy)
}

// toPiece is the distance from q to the straight piece from a to b.
func toPiece(q, a, b Point) float64 {
	if a == b {
		return apart(q, a)
	}
	dx, dy := b.X-a.X, b.Y-a.Y
	r := ((q.X-a.X)*dx + (q.Y-a.Y)*dy) / (dx*dx + dy*dy)
	switch {
	case r < 0:
		return apart(q, a)
	case r >= 1:
		return apart(q, b)
	case (a.Y-q.Y)*dx == (a.X-q.X)*dy:
		return 0
	}
	return apart(q, Point{a.X + r*dx, a.Y + r*dy})
}

// Locate is how far along the path its point nearest to q lies, as a share of
// the length from 0 to 1. Of several nearest pieces the first counts.
func (p *Path) Locate(q Point) float64 {
	if len(p.pts) < 2 || p.length == 0 {
		return 0
	}
	piece, best := 1, math.Inf(1)
	for i := 1; i < len(p.pts) && best > 0; i++ {
		if d := toPieceSquared(q, p.pts[i-1], p.pts[i]); d < best {
			piece, best = i, d
		}
	}
	along := 0.0
	for i := 1; i < piece; i++ {
		along += apart(p.pts[i-1], p.pts[i])
	}
	return min(1, (along+apart(foot(q, p.pts[piece-1], p.pts[piece]), p.pts[piece-1]))/p.length)
}

func toPieceSquared(q, a, b Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	ex, ey := q.X-a.X, q.Y-a.Y
	whole, dot := dx*dx+dy*dy, ex*dx+ey*dy
	switch {
	case a == b, dot <= 0:
		return ex*ex + ey*ey
	case dot >= whole:
		fx, fy := b.X-q.X, b.Y-q.Y
		return fx*fx + fy*fy
	}
	s := ex*dy - ey*dx
	return s * s / whole
}

// foot is the point of the piece from a to b that is nearest to q.
func foot(q, a, b Point) Point {
	if a == b {
		return a
	}
	dx, dy := b.X-a.X, b.Y-a.Y
	r := ((q.X-a.X)*dx + (q.Y-a.Y)*dy) / (dx*dx + dy*dy)
	switch {
	case r <= 0:
		return a
	case r >= 1:
		return b
	}
	return Point{a.X + dx*r, a.Y + dy*r}
}

// At is the point that lies the given share of the length along the path.
// Shares below 0 and above 1 are its ends.
func (p *Path) At(share float64) Point {
	if share <= 0 || p.length == 0 {
		return p.pts[0]
	}
	done := 0.0
	for i := 1; i < len(p.pts) && share < 1; i++ {
		a, b := p.pts[i-1], p.pts[i]
		piece := apart(a, b) / p.length
		if share < done+piece {
			f := (share - done) / piece
			return Point{a.X + (b.X-a.X)*f, a.Y + (b.Y-a.Y)*f}
		}
		done += piece
	}
	return p.End()
}

// left reports whether q lies to the left of the path or on it, looking along
// the path over half a metre to both sides of q's foot, which lies at the given
// share of the length.
func (p *Path) left(q Point, at float64) bool {
	if p.length == 0 {
		return true
	}
	f, behind, ahead := p.At(at), p.At(at-0.5/p.length), p.At(at+0.5/p.length)
	return (ahead.X-behind.X)*(q.Y-f.Y)-(ahead.Y-behind.Y)*(q.X-f.X) >= 0
}
