package scheduler

import "limbround/geo"

// Depot is where crews start and end their day.
type Depot struct {
	ID       int64     `json:"id"`
	Ref      string    `json:"ref"`
	Name     string    `json:"name"`
	Position geo.Point `json:"-"`
}

// Dump is a site that takes chips or wood.
type Dump struct {
	ID       int64     `json:"id"`
	Ref      string    `json:"ref"`
	Name     string    `json:"name"`
	Minutes  int       `json:"minutes"`    // to weigh, tip and leave
	Sanitary string    `json:"sanitation"` // sanitation flags whose wood it takes, parted by blanks; empty for ordinary chips only
	Position geo.Point `json:"-"`
}

// Crew is a standing crew with its truck, shift and qualifications.
type Crew struct {
	ID          int64      `json:"id"`
	Ref         string     `json:"ref"`
	Name        string     `json:"name"`
	DepotID     int64      `json:"depot_id"`
	People      int        `json:"people"`
	Skills      []Skill    `json:"skills"`
	TruckL      int        `json:"truck_chips_l"`             // chip body, litres
	TruckHeight geo.Length `json:"truck_height_mm,omitempty"` // 0 or geo.None when not recorded: the truck then meets every posted limit
	TruckKg     int        `json:"truck_weight_kg,omitempty"` // loaded, 0 when not recorded
	ShiftStart  int        `json:"shift_start"`               // minutes after midnight
	ShiftMin    int        `json:"shift_minutes"`             // paid, yard and break included
	YardMin     int        `json:"yard_minutes"`              // briefing, pre-trip, fuel, wash-down
	BreakMin    int        `json:"break_minutes"`
	Weekdays    int        `json:"weekdays"` // bit 0 Monday .. bit 6 Sunday
	Tickets     []Ticket   `json:"tickets,omitempty"`
	DaysOff     []Date     `json:"days_off,omitempty"`
}

// Ticket is a qualification or inspection that expires: an expired one cannot be issued work.
type Ticket struct {
	What    string `json:"what"`
	Expires Date   `json:"expires"`
}

// Works reports whether the crew is rostered on d.
func (c *Crew) Works(d Date) bool {
	if c.Weekdays&(1<<((int(d.Weekday())+6)%7)) == 0 {
		return false
	}
	for _, off := range c.DaysOff {
		if off == d {
			return false
		}
	}
	return true
}

// Has reports whether the crew holds the skill. Every crew does ground work.
func (c *Crew) Has(s Skill) bool {
	if s == Ground || s == "" {
		return true
	}
	for _, k := range c.Skills {
		if k == s || (s == Lift && k == LineClearance) {
			return true
		}
	}
	return false
}

// Expired returns the tickets that are out of date on d.
func (c *Crew) Expired(d Date) []Ticket {
	var out []Ticket
	for _, t := range c.Tickets {
		if !t.Expires.IsZero() && t.Expires < d {
			out = append(out, t)
		}
	}
	return out
}
