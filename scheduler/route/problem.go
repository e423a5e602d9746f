// Package route plans crew-days: which vehicle makes which stops in which
// order, with trips to a dump when the truck is full, so that the paid seconds
// are few and the stops that matter most are made. It knows no trees: a stop
// has a group (a block face) whose set-up is paid once per arrival.
package route

import (
	"fmt"
	"time"
)

// Unreachable is the travel time, in seconds, between places that no route
// joins. No plan uses it.
const Unreachable = 1 << 28

// Travel gives the seconds from one place to another. It must not change while
// a problem is being solved.
type Travel interface {
	Seconds(from, to int) int
}

// Matrix is Travel as a table of n rows by n columns.
type Matrix struct {
	N   int
	Sec []int32
}

// Seconds returns the entry of row from and column to.
func (m Matrix) Seconds(from, to int) int { return int(m.Sec[from*m.N+to]) }

// Problem is everything a plan depends on. Solve does not change it. All times
// are whole seconds from one midnight; places count from 0 in every Travel.
type Problem struct {
	Places   int
	Travel   []Travel // by Vehicle.Profile
	Stops    []Stop
	Vehicles []Vehicle
	Dumps    []Dump // with none, loads stay on the truck until its day ends
	Metric   bool   // travel keeps the triangle inequality, so that stronger bounds hold
}

// Stop is one piece of work at one place.
type Stop struct {
	Place   int
	Group   int    // stops of one group share place; set-up is paid once per arrival
	Pos     int    // seconds of walking along the group from a common origin
	Service int    // seconds of work
	SetUp   int    // seconds; an arrival pays the largest of the stops it serves
	Demand  int    // load taken on, litres
	Skills  uint32 // bits that the vehicle must have
	Days    uint64 // bits of the days on which it may be made; 0 for every day
	Dumps   uint64 // bits of the dumps that take its load; 0 for every dump
	Open    int    // earliest start here, set-up included
	Close   int    // latest start, 0 for no limit
	Prize   int64  // what leaving it out costs, in seconds
	Delay   int64  // what each day of waiting (Vehicle.Day) costs, in seconds
	Lock    int    // 1 + index of the only vehicle that may make it, 0 for any
}

// Vehicle is one crew-day.
type Vehicle struct {
	Start, End int // places
	Open       int // when it leaves Start
	Productive int // seconds from leaving Start to reaching End, at most
	Capacity   int // litres
	Skills     uint32
	Day        int // 0 to 63
	Profile    int // index into Problem.Travel
	Fixed      int // paid seconds of a day that is used at all
}

// Dump is a place where a truck is emptied.
type Dump struct {
	Place   int
	Seconds int
}

// Limits end a search. Iterations counts rounds of improvement; with 0 the
// search runs until the context's deadline, which needs Now, or for a number of
// rounds that grows with the problem. The same problem, seed and number of
// rounds give the same plan, unless the deadline comes first.
type Limits struct {
	Seed       int64
	Iterations int
	Now        func() time.Time // the clock that measures the deadline, may be nil
}

const maxQuantity = 1 << 40 // keeps every sum far from overflow

// Validate checks the problem's indices and signs. The error names the first
// broken rule.
func (p *Problem) Validate() error {
	place := func(what string, i, v int) error {
		if v < 0 || v >= p.Places {
			return fmt.Errorf("%s %d: place %d is not one of %d", what, i, v, p.Places)
		}
		return nil
	}
	if len(p.Dumps) > 64 {
		return fmt.Errorf("%d dumps, at most 64", len(p.Dumps))
	}
	for i, m := range p.Travel {
		if t, ok := m.(Matrix); ok && (t.N < p.Places || len(t.Sec) < t.N*t.N) {
			return fmt.Errorf("travel %d: matrix is smaller than %d places", i, p.Places)
		}
	}
	for i, d := range p.Dumps {
		if err := place("dump", i, d.Place); err != nil {
			return err
		}
		if d.Seconds < 0 || d.Seconds > Unreachable {
			return fmt.Errorf("dump %d: %d seconds", i, d.Seconds)
		}
	}
	for i, v := range p.Vehicles {
		if err := place("vehicle", i, v.Start); err != nil {
			return err
		}
		if err := place("vehicle", i, v.End); err != nil {
			return err
		}
		if v.Profile < 0 || v.Profile >= len(p.Travel) {
			return fmt.Errorf("vehicle %d: no travel profile %d", i, v.Profile)
		}
		if v.Day < 0 || v.Day > 63 {
			return fmt.Errorf("vehicle %d: day %d is not in 0 to 63", i, v.Day)
		}
		if min(v.Open, v.Productive, v.Capacity, v.Fixed) < 0 || max(v.Open, v.Productive, v.Fixed) > Unreachable/2 || v.Capacity > maxQuantity {
			return fmt.Errorf("vehicle %d: a quantity is negative or too large", i)
		}
	}
	return p.validateStops(place)
}

func (p *Problem) validateStops(place func(string, int, int) error) error {
	groups := make(map[int]int, len(p.Stops))
	for i, s := range p.Stops {
		if err := place("stop", i, s.Place); err != nil {
			return err
		}
		if at, ok := groups[s.Group]; ok && at != s.Place {
			return fmt.Errorf("stop %d: group %d is at place %d and at place %d", i, s.Group, at, s.Place)
		}
		groups[s.Group] = s.Place
		if s.Lock < 0 || s.Lock > len(p.Vehicles) {
			return fmt.Errorf("stop %d: locked to vehicle %d of %d", i, s.Lock-1, len(p.Vehicles))
		}
		if min(s.Pos, s.Service, s.SetUp, s.Demand, s.Open, s.Close) < 0 || min(s.Prize, s.Delay) < 0 {
			return fmt.Errorf("stop %d: a quantity is negative", i)
		}
		if max(s.Pos, s.Service, s.SetUp, s.Open, s.Close) > Unreachable/2 || s.Demand > maxQuantity || s.Prize > 1<<50 || s.Delay > 1<<40 {
			return fmt.Errorf("stop %d: a quantity is too large", i)
		}
	}
	return nil
}
