package scheduler

import "limbround/geo"

// Owner says whose tree stands on a site; visits to others' trees are not ours.
type Owner string

// The owners.
const (
	OwnerCity      Owner = "city"
	OwnerPrivate   Owner = "private"
	OwnerShared    Owner = "shared"
	OwnerUtility   Owner = "utility"
	OwnerStateRoad Owner = "state_road"
)

// StreetClass orders streets by traffic; clearance heights, traffic set-up and
// closure hours hang on it.
type StreetClass string

// The street classes.
const (
	Arterial    StreetClass = "arterial"
	Collector   StreetClass = "collector"
	Residential StreetClass = "residential"
	Alley       StreetClass = "alley"
)

// WireClass is the class of an overhead line. An unknown line counts as energised.
type WireClass string

// The wire classes.
const (
	WireNone         WireClass = "none"
	WireComms        WireClass = "communication"
	WireService      WireClass = "service"
	WireSecondary    WireClass = "secondary"
	WirePrimary      WireClass = "primary"
	WireTransmission WireClass = "transmission"
	WireUnknown      WireClass = "unknown"
)

// Side is a side of the tree as the card names it, or a side of a street.
type Side string

// The sides.
const (
	SideRoad       Side = "road"
	SideWalk       Side = "walk"
	SideUpStreet   Side = "up_street"
	SideDownStreet Side = "down_street"
	SideLeft       Side = "left"  // of the street's digitised direction
	SideRight      Side = "right" // of the street's digitised direction
)

// Site is the place a tree stands on. It outlives the tree. Its geometry is
// reduced to numbers when the tree, a street, a walk, a wire or a sign changes,
// so that the rules need no geometry. Distances run from the trunk's centre in
// the horizontal; geo.None means there is none near.
type Site struct {
	ID       int64     `json:"id"`
	Ref      string    `json:"ref"`
	Owner    Owner     `json:"owner"`
	Address  string    `json:"address"`
	Position geo.Point `json:"-"`        // city metric CRS
	District string    `json:"district"` // ref, empty outside every district
	Section  string    `json:"section"`  // ref

	StreetID    int64       `json:"street_id"`   // nearest street block, 0 for none
	StreetSide  Side        `json:"street_side"` // left or right of it
	FaceID      int64       `json:"face_id"`     // block face, 0 for none
	StreetClass StreetClass `json:"street_class"`
	SpeedKmh    int         `json:"speed_kmh"`
	BusRoute    bool        `json:"bus_route"`
	TruckRoute  bool        `json:"truck_route"`
	Parking     bool        `json:"parking"` // parking lane on the tree's side

	ToCurb     geo.Length `json:"to_curb_mm"`
	ToLane     geo.Length `json:"to_lane_mm"`   // edge of the nearest travel lane; a parking lane counts
	HalfRoad   geo.Length `json:"half_road_mm"` // curb to street centre
	ToWalk     geo.Length `json:"to_walk_mm"`
	WireClass  WireClass  `json:"wire_class"`
	WireVolts  int        `json:"wire_volts"`     // of that line, to ground; 0 when not recorded
	ToWire     geo.Length `json:"to_wire_mm"`     // horizontal
	WireHeight geo.Length `json:"wire_height_mm"` // lowest conductor
	ToSign     geo.Length `json:"to_sign_mm"`
	ToLight    geo.Length `json:"to_light_mm"`
	ToJunction geo.Length `json:"to_junction_mm"`
	InSight    bool       `json:"in_sight_triangle"`
}
