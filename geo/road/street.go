// Package road turns a city's street blocks into a graph and answers travel
// times between stops on them: one-ways, the limits of a truck and the side of
// the street count.
package road

import "limbround/geo"

// Class orders streets by traffic. It stands in for a speed that nobody
// recorded.
type Class string

// The street classes.
const (
	Arterial    Class = "arterial"
	Collector   Class = "collector"
	Residential Class = "residential"
	Alley       Class = "alley"
)

// OneWay says in which direction of its digitised line a block may be driven.
type OneWay string

// The directions. The empty value means BothWays.
const (
	BothWays OneWay = "no"
	Forward  OneWay = "forward"
	Backward OneWay = "backward"
)

// Street is one block: a street between two junctions. Blocks meet only where
// their end vertices are the same point, so a bridge crosses what runs below it
// without joining it.
type Street struct {
	ID          int64
	Line        []geo.Point // metric CRS, at least two vertices
	Class       Class
	OneWay      OneWay
	SpeedKmh    int        // 0 when not recorded
	MaxHeight   geo.Length // 0 or geo.None for no limit
	MaxWeightKg int        // 0 for no limit
	Bridge      bool
}

// Truck is what a vehicle needs of a street. Zero fields mean "not known" and
// meet every limit.
type Truck struct {
	Height   geo.Length
	WeightKg int
}

// Side is the side of the digitised line on which a stop lies.
type Side int8

// The sides; a depot or a dump has none.
const (
	NoSide Side = iota
	Left
	Right
)

// limitPace is the share of the posted speed that a truck keeps between
// junctions once stops and turns are counted (common practice, from memory).
const limitPace = 0.7

// speed returns metres per second on the street. The speeds by class are
// common practice, from memory.
func (s *Street) speed() float64 {
	kmh := s.SpeedKmh
	if kmh <= 0 {
		switch s.Class {
		case Arterial:
			kmh = 50
		case Collector:
			kmh = 40
		case Alley:
			kmh = 15
		default:
			kmh = 30
		}
	}
	return float64(kmh) / 3.6 * limitPace
}

// passes reports whether the truck meets the limits.
func (t Truck) passes(maxHeight geo.Length, maxKg int) bool {
	if maxHeight > 0 && t.Height > maxHeight {
		return false
	}
	return maxKg <= 0 || t.WeightKg <= maxKg
}

// Sort answers one truck for all that may use the same blocks as t: its height
// and weight are rounded up to the next limit that is posted anywhere, or to
// just above the greatest.
func (g *Graph) Sort(t Truck) Truck {
	var height, kg []int
	for i := range g.blocks {
		height, kg = append(height, int(g.blocks[i].maxHeight)), append(kg, g.blocks[i].maxKg)
	}
	return Truck{Height: geo.Length(upTo(height, int(t.Height))), WeightKg: upTo(kg, t.WeightKg)}
}

// upTo is the least of the posted limits, those above zero, that n keeps.
func upTo(posted []int, n int) int {
	least, most := 0, 0
	for _, p := range posted {
		if p >= n && p > 0 && (least == 0 || p < least) {
			least = p
		}
		most = max(most, p)
	}
	if least == 0 {
		return most + 1
	}
	return least
}
