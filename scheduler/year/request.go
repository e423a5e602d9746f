// Package year makes the annual plan: it gives each visit a week of the year,
// or carries it over with a reason, and proves how far the plan can be from the
// best one.
package year

import "limbround/scheduler"

// Request is everything the annual plan depends on.
type Request struct {
	Year     int
	Today    scheduler.Date // weeks before this day's are not planned
	Items    []Item
	Crews    []scheduler.Crew
	Work     scheduler.WorkRules
	PolicyID int64
}

// Item is one open visit with what places it on the ground.
type Item struct {
	Visit   scheduler.Visit
	FaceID  int64  // block face, 0 for none: traffic set-up is paid once per face and week
	Section string // section reference, empty for none
	Class   scheduler.StreetClass
	Closed  []Span // days on which its work is forbidden, in any order
}

// Span is a run of days, both ends included.
type Span struct {
	From, To scheduler.Date
}

// Holds reports whether d lies in the span.
func (s Span) Holds(d scheduler.Date) bool { return s.From <= d && d <= s.To }
