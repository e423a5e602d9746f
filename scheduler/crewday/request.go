// Package crewday packs due visits into crew-days: it turns trees, crews and
// streets into a routing problem over block faces, has it solved, and writes the
// packets, each minute by its kind, and the reason for every visit left out.
package crewday

import (
	"time"

	"limbround/geo"
	"limbround/geo/road"
	"limbround/scheduler"
)

// Request is everything the packets depend on. With equal requests, Iterations
// set and no deadline, the packets are equal.
type Request struct {
	Days       []scheduler.Date // working days to fill, at most 60 apart
	Crews      []scheduler.Crew
	Depots     []scheduler.Depot
	Dumps      []scheduler.Dump // with none, chips are emptied in the yard at the day's end
	Jobs       []Job
	Work       scheduler.WorkRules
	Seasons    scheduler.SeasonRules // closed seasons keep visits off their days
	Graph      *road.Graph
	Busy       []scheduler.CrewDay // crew-days that have a live packet
	Seed       int64
	Iterations int              // rounds of improvement, 0 for as many as the limit or the size asks for
	Limit      time.Duration    // longest search, counted from when the travel times are known; 0 for none
	Now        func() time.Time // measures the limit and Result.Seconds, may be nil
}

// Job is one visit with what places it on the ground.
type Job struct {
	Visit      scheduler.Visit
	Site       scheduler.Site
	Along      geo.Length        // from the block's first vertex to the foot of the tree on it
	Group      string            // the species' group in the closed seasons
	Sanitation string            // the species' or a pest's flag: which dump takes the wood
	Lock       scheduler.CrewDay // the only crew-day that may make it (signs are posted); zero for any
}

// Result is the packets and what they leave out.
type Result struct {
	Packets    []scheduler.Packet   // by day, then the most urgent class, then the first season deadline
	Unserved   []scheduler.Unserved // every visit that no packet took, with the constraint that stopped it
	Idle       []Idle               // rostered crew-days that cannot be given work
	Minutes    scheduler.Minutes    // of all packets
	Bound      int                  // proven least paid minutes for the packed visits
	Iterations int
	Seconds    float64 // 0 without Now
}

// Idle is a rostered crew-day that cannot be given work, and why.
type Idle struct {
	CrewID int64          `json:"crew_id"`
	Day    scheduler.Date `json:"day"`
	Reason string         `json:"reason"`
}
