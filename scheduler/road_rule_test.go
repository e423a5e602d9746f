package scheduler

import (
	"testing"

	"limbround/geo"
)

func TestOverLaneTakesTheHigher(t *testing.T) {
	rule := func(legal float64, source string) HeightRule {
		return HeightRule{Legal: geo.Feet(legal), ActAt: geo.Feet(legal + 0.5), ClearTo: geo.Feet(legal + 1), Source: source}
	}
	road := RoadRule{AtLane: rule(14, "lane"), BusLane: rule(15, "bus"), TruckLane: rule(16, "truck")}
	noTruck := road
	noTruck.TruckLane = HeightRule{}
	lowTruck := road
	lowTruck.TruckLane = rule(14.2, "truck")
	for _, tc := range []struct {
		name       string
		road       RoadRule
		bus, truck bool
		legal      float64
		source     string
		tall       bool
	}{
		{"neither", road, false, false, 14, "lane", false},
		{"bus", road, true, false, 15, "bus", true},
		{"truck", road, false, true, 16, "truck", true},
		{"both", road, true, true, 16, "truck", true},
		{"both, the bus higher", lowTruck, true, true, 15, "bus", true},
		{"a truck route without a rule of its own", noTruck, false, true, 14, "lane", false},
	} {
		got, tall := tc.road.OverLane(&Site{BusRoute: tc.bus, TruckRoute: tc.truck})
		if got != rule(tc.legal, tc.source) || tall != tc.tall {
			t.Errorf("%s: %+v %v", tc.name, got, tall)
		}
	}
	mixed := HeightRule{Legal: 4300, ActAt: 4400, ClearTo: 4900, Source: "bus"}.higher(HeightRule{Legal: 4200, ActAt: 4500, ClearTo: 4700, Source: "truck"})
	if mixed != (HeightRule{Legal: 4300, ActAt: 4500, ClearTo: 4900, Source: "bus"}) {
		t.Errorf("level by level: %+v", mixed)
	}
}

// Under snow limbs sink by the city's share of the wet droop; a crown that
// holds snow by half as much again (common practice).
func TestDroop(t *testing.T) {
	maple := Species{Habit: Decurrent, Droop: 300, WetSnow: RatingMedium, LeafSnow: RatingMedium}
	spruce := Species{Habit: Conifer, Droop: 300, WetSnow: RatingLow}
	box := Species{Habit: Decurrent, Droop: 400, WetSnow: RatingHigh}
	leafy := Species{Habit: Decurrent, Droop: 400, LeafSnow: RatingHigh}
	for _, tc := range []struct {
		name    string
		species Species
		pct     int
		hold    int
		want    geo.Length
	}{
		{"no snow in this city", spruce, 0, 0, 300},
		{"bare in winter, as much as wet", maple, 100, 0, 300},
		{"bare in winter, more than wet", maple, 140, 0, 420},
		{"less than wet: wet counts", maple, 50, 0, 300},
		{"conifer", spruce, 100, 0, 450},
		{"high for wet snow", box, 100, 0, 600},
		{"high for leaf-on snow", leafy, 100, 0, 600},
		{"the city's own figure", box, 100, 200, 800},
	} {
		p := Policy{Clearance: ClearanceRules{SnowDroop: tc.pct, SnowHold: tc.hold}}
		if got := p.Droop(&tc.species); got != tc.want {
			t.Errorf("%s: %s, want %s", tc.name, got, tc.want)
		}
	}
}
