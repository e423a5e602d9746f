package scheduler

import "limbround/geo"

// PackItem is one visit that may go into a packet, with its place.
type PackItem struct {
	Visit      Visit
	Site       Site
	Along      geo.Length // from the block's first vertex to the foot of the tree on it
	Species    string     // code, empty for none
	Sanitation string     // the species' flag: which dump takes its wood
	Week       Date       // Monday of the plan, zero for urgent work that no plan holds
}

// CrewDay is one crew on one day.
type CrewDay struct {
	CrewID int64 `json:"crew_id"`
	Day    Date  `json:"day"`
}

// PackInput is what packets are built from.
type PackInput struct {
	Items []PackItem
	Busy  []CrewDay // crew-days with a live packet that stays
}
