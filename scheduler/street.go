package scheduler

import "limbround/geo"

// Street is one block of a street between two junctions, as the router and the
// desks read it. Blocks meet where their end vertices are the same point.
type Street struct {
	ID          int64       `json:"id"`
	Ref         string      `json:"ref"`
	Name        string      `json:"name"`
	Class       StreetClass `json:"class"`
	OneWay      string      `json:"one_way"`   // no, forward or backward along Line
	SpeedKmh    int         `json:"speed_kmh"` // 0 when not recorded
	Width       geo.Length  `json:"width_mm"`  // curb to curb
	Lanes       int         `json:"lanes"`     // 0 when not recorded
	Parking     string      `json:"parking"`   // none, left, right or both
	Bus         bool        `json:"bus_route"`
	Truck       bool        `json:"truck_route"`
	Bridge      bool        `json:"bridge"`
	MaxHeight   geo.Length  `json:"max_height_mm"` // geo.None for no posted limit
	MaxWeightKg int         `json:"max_weight_kg"` // 0 for no posted limit
	Line        []geo.Point `json:"-"`             // city metric CRS, at least two vertices
}
