package geo

import "math"

// Sight distances by speed, and the sight triangles of a junction.
//
// A driver who waits on one street to enter another has to see its traffic for
// as long as the manoeuvre takes: 1.47 V t, in ft for V in mph and t in s, with
// 7.5 s for a car that turns left and 6.5 s for one that turns right or
// crosses. A driver under way has to see as far as the way to a stop, with 2.5 s
// to react and 11.2 ft/s² to brake. Both are rounded up to 5 ft, as the tables
// of the AASHTO Green Book print them (as reprinted in the Highway Engineering
// Handbook, Table 2.3A, and the TxDOT Roadway Design Manual, 4.11.1).
//
// The triangle has its corners at the driver's eye, at the approaching car, and
// where their ways meet. The eye is 14.5 ft back from the edge of the travelled
// way, the car drives 6 ft inside it, in the middle of a 12 ft lane (both from
// memory). So x along the street from the junction the line of sight runs
//
//	14.5 ft - x (14.5 ft + 6 ft) / sight distance
//
// behind the edge, and a tree nearer to the edge stands in the triangle. Left
// of the driver that is the near lane; to the right, where the near traffic
// drives away, it is more than the far lane needs, and the same line is kept:
// which side of the road a city drives on is not on the map.
//
// Who waits is not on the map: traffic of a street of lower class waits for that
// of a higher one. Where streets of one class meet, and at the mouth of an alley,
// none goes first, and no distance follows from the speed. Every corner stays open
// besides: the triangle with legs of 25 ft along both curbs from where they meet
// (common municipal practice, from memory). A driver looks along the near side of the
// street: a triangle lies on the side on which the other street goes off (leg.go).
const (
	decisionPoint = 4420 * Millimetre // 14.5 ft
	laneMiddle    = 1829 * Millimetre // 6 ft
	cornerLeg     = 7620 * Millimetre // 25 ft
	alleyOrder    = 0
)

// Gaps in s of a passenger car that enters a street from a stop.
const (
	LeftTurnGap = 7.5
	CrossGap    = 6.5 // and right turns
)

// MPH turns km/h into whole miles an hour, the unit of the published tables.
func MPH(kmh int) int { return int(math.Round(float64(kmh) / 1.609344)) }

// IntersectionSight is the sight distance along a street of so many mph that a
// waiting driver needs who takes gap s to enter it.
func IntersectionSight(mph int, gap float64) Length {
	return upToFiveFeet(1.47 * float64(mph) * gap)
}

// StoppingSight is the distance in which a car at so many mph comes to a stop.
func StoppingSight(mph int) Length {
	v := float64(mph)
	return upToFiveFeet(1.47*v*2.5 + 1.075*v*v/11.2)
}

func upToFiveFeet(ft float64) Length { return Feet(5 * math.Ceil(ft/5)) }

// inSight reports whether a place off the edge of a street, along it from a
// junction, lies in the triangle of a driver who waits there.
func inSight(off, along Length, kmh int) bool {
	far := int64(IntersectionSight(MPH(kmh), LeftTurnGap))
	return int64(off)*far <= int64(decisionPoint)*far-int64(along)*int64(decisionPoint+laneMiddle)
}

// first reports whether the traffic of a block has the way over that of a leg.
func (b *Block) first(leg *Block) bool { return b.Order > leg.Order && leg.Order > alleyOrder }

// beside is a site that lies beside a block.
type beside struct {
	q              Point
	left           bool // of the block
	toLane, toCurb Length
}

// inTriangle reports whether a site beside the block, back from an end of it that
// meets the legs, lies in a sight triangle of that junction: along the block
// when a leg's traffic waits for the block's, at the corner when it is the
// other way round, and at the corner in any case as far as its own legs go.
func (g *Ground) inTriangle(b *Block, legs []leg, s beside, back Length) bool {
	for _, l := range legs {
		o := &g.Blocks[l.block]
		switch {
		case s.left && !l.left, !s.left && !l.right:
		case b.first(o) && inSight(s.toLane, back, b.Speed),
			o.first(b) && inSight(max(0, back-o.Half), s.toCurb+b.Half, o.Speed),
			o.atCorner(s):
			return true
		}
	}
	return false
}

// atCorner reports whether a site lies in the corner between its own street and
// this one.
func (b *Block) atCorner(s beside) bool {
	if s.toCurb > cornerLeg || b.Path.box.beyond(s.q, (cornerLeg+b.Half).M()) {
		return false
	}
	return s.toCurb+max(0, millimetres(b.Path.Distance(s.q))-b.Half) <= cornerLeg
}
