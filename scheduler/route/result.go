package route

// Result is a plan: the routes of the vehicles that are used, the stops that
// are not made, and what it costs.
type Result struct {
	Routes     []Route
	Unserved   []Unserved
	Cost       Cost
	Bound      int64 // proven least paid seconds (Cost.Paid) of any plan that makes the same stops
	Iterations int
	Seed       int64
}

// Route is one vehicle's day.
type Route struct {
	Vehicle int
	Steps   []Step
	Drive   int // seconds back to the end place
	Finish  int // when it is back
}

// Step is a stop (Dump is -1) or a trip to a dump (Stop is -1).
type Step struct {
	Stop   int
	Dump   int
	Drive  int // seconds from the place before; walking within a group counts
	Arrive int
	Wait   int // until the stop's window opens
	SetUp  int // paid here
	Work   int // at the stop, or at the dump
}

// Cost is where the seconds of a plan go.
type Cost struct {
	Drive, Wait, SetUp, Work, Dump, Fixed int64
	Delay                                 int64 // not paid: price of making stops late
	Missed                                int64 // not paid: prizes of stops left out
}

// Paid is the seconds that somebody is paid for.
func (c Cost) Paid() int64 { return c.Drive + c.Wait + c.SetUp + c.Work + c.Dump + c.Fixed }

// Total is what the search makes small.
func (c Cost) Total() int64 { return c.Paid() + c.Delay + c.Missed }

// Cause says which constraint keeps a stop out of a plan.
type Cause string

// The causes.
const (
	NoVehicle  Cause = "no vehicle"    // the problem has none at all
	NoSkill    Cause = "no skill"      // no vehicle has the skills
	NoDay      Cause = "no day"        // those with the skills do not work on its days
	Locked     Cause = "locked"        // its one vehicle cannot make it
	NoDump     Cause = "no dump"       // no dump takes its load
	TooMuch    Cause = "too much"      // its load exceeds every truck by Over litres
	NoRoute    Cause = "no route"      // no road from or to it, or to its dump
	TooLong    Cause = "too long"      // alone it exceeds the best vehicle's day by Over seconds
	NoTimeLeft Cause = "no time left"  // the cheapest insertion exceeds a day by Over seconds
	Closed     Cause = "window closed" // every vehicle gets there after its window
)

// Unserved is a stop that the plan leaves out.
type Unserved struct {
	Stop  int
	Cause Cause
	Over  int // seconds or litres by which it fails, where the cause has them
}
