// Package sheet prints a crew's packet: a front page with the job briefing and
// the map, and one card for each tree. The page is plain HTML with drawings in
// SVG; it needs no script, no network and no colour.
package sheet

import (
	"limbround/geo"
	"limbround/scheduler"
)

// Packet is everything printed for one crew-day.
type Packet struct {
	City    scheduler.City
	Packet  scheduler.Packet
	Crew    scheduler.Crew
	Depot   string
	Cards   []Card           // tree stops in order
	Dumps   map[int64]string // names by dump id
	Streets []Street         // lines to draw, city metric CRS
	Start   geo.Point        // the depot; drawn when inside the map
	Policy  string           // name and date of the policy version
	Season  int              // growing season that the day's cuts draw on
	Printed scheduler.Date
	CardURL string // prefix of the address behind each card's QR code; the visit id follows
}

// Street is one block to draw.
type Street struct {
	Name string
	Main bool
	Line []geo.Point
}

// Card is one tree stop.
type Card struct {
	Stop    scheduler.Stop
	Visit   scheduler.Visit
	Tree    scheduler.Tree
	Site    scheduler.Site
	Species scheduler.Species
	Work    int    // minutes planned, traffic set-up included
	Signs   string // parking signs: valid until, hours; empty for none
	Walk    scheduler.HeightRule
	Road    scheduler.HeightRule // the profile's value over the tree's side of the road
}
