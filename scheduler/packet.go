package scheduler

// PacketState is the life of a packet.
type PacketState string

// The packet states. Draft, issued, started and weather hold are live: a visit
// is in at most one live packet, and the database enforces it.
const (
	PacketDraft       PacketState = "draft"
	PacketIssued      PacketState = "issued"
	PacketStarted     PacketState = "started"
	PacketCompleted   PacketState = "completed"
	PacketRecalled    PacketState = "recalled"
	PacketWeatherHold PacketState = "weather_hold"
)

// Live reports whether the state holds its visits.
func (s PacketState) Live() bool {
	return s == PacketDraft || s == PacketIssued || s == PacketStarted || s == PacketWeatherHold
}

// May reports whether a packet in state s can go to state t by a dispatcher's
// or crew leader's act.
func (s PacketState) May(t PacketState) bool {
	switch s {
	case PacketDraft:
		return t == PacketIssued || t == PacketRecalled
	case PacketIssued:
		return t == PacketStarted || t == PacketRecalled || t == PacketWeatherHold || t == PacketCompleted
	case PacketWeatherHold:
		return t == PacketIssued || t == PacketRecalled
	case PacketStarted:
		return t == PacketCompleted || t == PacketWeatherHold || t == PacketRecalled
	}
	return false
}

// StopKind tells what happens at a stop.
type StopKind string

// The stop kinds.
const (
	StopTree  StopKind = "tree"
	StopDump  StopKind = "dump"
	StopBreak StopKind = "break"
)

// StopState is what became of a stop.
type StopState string

// The stop states.
const (
	StopPlanned StopState = "planned"
	StopDone    StopState = "done"
	StopPart    StopState = "part"
	StopNotDone StopState = "not_done"
)

// Minutes counts crew minutes by kind.
type Minutes struct {
	Yard  int `json:"yard"`
	Drive int `json:"drive"`
	SetUp int `json:"set_up"` // traffic set-up, once per block face and arrival
	Work  int `json:"work"`
	Dump  int `json:"dump"`
	Break int `json:"break"`
	Slack int `json:"slack"` // shift left over
}

// Paid is every minute but the slack.
func (m Minutes) Paid() int { return m.Yard + m.Drive + m.SetUp + m.Work + m.Dump + m.Break }

// Packet is one crew's day: its stops in order and where the minutes go.
type Packet struct {
	ID       int64       `json:"id"`
	Day      Date        `json:"day"`
	CrewID   int64       `json:"crew_id"`
	State    PacketState `json:"state"`
	Stops    []Stop      `json:"stops"`
	Minutes  Minutes     `json:"minutes"`
	Bound    int         `json:"bound_minutes"` // proven least paid minutes for the same visits in one day
	Revision int         `json:"revision"`      // edit counter behind the ETag
}

// Stop is one place in a packet.
type Stop struct {
	ID      int64     `json:"id"`
	Seq     int       `json:"seq"` // from 1
	Kind    StopKind  `json:"kind"`
	VisitID int64     `json:"visit_id,omitempty"`
	DumpID  int64     `json:"dump_id,omitempty"`
	Arrive  int       `json:"arrive"`         // minutes after midnight
	Drive   int       `json:"drive_minutes"`  // from the place before
	SetUp   int       `json:"set_up_minutes"` // paid here
	Work    int       `json:"work_minutes"`
	Locked  bool      `json:"locked"` // signs are posted or the dispatcher pinned it
	State   StopState `json:"state"`
}

// Unserved is a visit that no packet took, with the constraint that stopped it.
type Unserved struct {
	VisitID int64  `json:"visit_id"`
	Reason  string `json:"reason"`
}
