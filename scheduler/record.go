package scheduler

import (
	"time"

	"limbround/geo"
)

// Outcome is how a visit ended.
type Outcome string

// The outcomes.
const (
	OutcomeDone    Outcome = "done"
	OutcomePart    Outcome = "part"
	OutcomeNotDone Outcome = "not_done"
)

// CouldNot codes why a visit could not be done; each code sets what is next.
type CouldNot string

// The codes.
const (
	CarInTheWay   CouldNot = "car_in_the_way"
	SignsMissing  CouldNot = "signs_missing"
	NestFound     CouldNot = "nest"
	WireClose     CouldNot = "wire"
	NeedsLift     CouldNot = "needs_lift_or_skill"
	Weather       CouldNot = "weather"
	ResidentOrDog CouldNot = "resident_or_dog"
	TreeGone      CouldNot = "tree_gone"
	DeadOrHazard  CouldNot = "dead_or_hazard"
	WrongSpecies  CouldNot = "wrong_species_or_place"
	DoseReached   CouldNot = "dose_reached"
	RanOutOfDay   CouldNot = "ran_out_of_day"
)

// CutTally counts cuts by the diameter of the wound.
type CutTally struct {
	Under1  int `json:"under_1in"`
	OneTwo  int `json:"in_1_2"`
	TwoFour int `json:"in_2_4"`
	Over4   int `json:"over_4in"`
}

// Hazard is a danger seen in the field; it opens its own visit at once.
type Hazard struct {
	What     string    `json:"what"`
	Class    int       `json:"class"` // 0 down, hanging, split or on a wire; 1 needs a qualified assessor in days
	CalledTo string    `json:"called_to"`
	At       time.Time `json:"at"`
}

// WatchFinding is one line about a watch item on a work record: a new item has
// an empty Letter and gets the next free one.
type WatchFinding struct {
	Letter       string     `json:"letter,omitempty"`
	What         string     `json:"what,omitempty"`
	Height       geo.Length `json:"height_mm,omitempty"`
	Side         Side       `json:"side,omitempty"`
	Diameter     geo.Length `json:"diameter_mm,omitempty"`
	StemDiameter geo.Length `json:"stem_diameter_mm,omitempty"`
	IncludedBark bool       `json:"included_bark,omitempty"`
	Done         string     `json:"done,omitempty"`    // "reduced by half", "removed", "left" ...
	Reduced      bool       `json:"reduced,omitempty"` // foliage was taken to slow it
	Intent       Intent     `json:"intent,omitempty"`
	Resolved     bool       `json:"resolved,omitempty"` // gone or no longer of interest
}

// WorkRecord is what a crew leader writes down at the tree. Its ID is made by
// the client, so that sending it twice changes nothing.
type WorkRecord struct {
	ID        string         `json:"id"`                 // UUID
	VisitID   int64          `json:"visit_id,omitempty"` // 0 for work nobody planned
	TreeID    int64          `json:"tree_id"`
	PacketID  int64          `json:"packet_id,omitempty"`
	CrewID    int64          `json:"crew_id,omitempty"`
	By        string         `json:"by"`
	Start     time.Time      `json:"start"`
	Finish    time.Time      `json:"finish"`
	Kinds     []WorkKind     `json:"kinds"`
	Outcome   Outcome        `json:"outcome"`
	CouldNot  CouldNot       `json:"could_not,omitempty"`
	LiveCrown int            `json:"live_crown_pct"` // live crown taken, per cent
	Cuts      CutTally       `json:"cuts"`
	Watch     []WatchFinding `json:"watch,omitempty"`

	BaseRoad  geo.Length `json:"base_road_mm,omitempty"` // 0 or negative: not taken
	BaseWalk  geo.Length `json:"base_walk_mm,omitempty"`
	DBH       geo.Length `json:"dbh_mm,omitempty"`
	Height    geo.Length `json:"height_mm,omitempty"`
	Permanent geo.Length `json:"lowest_permanent_mm,omitempty"`
	PermanentBranch
	Found  TreeState `json:"found,omitempty"` // dead, or alive after all; empty says nothing of it
	Stage  Stage     `json:"stage,omitempty"` // stage the crew leader found or reached
	Vigour Vigour    `json:"vigour,omitempty"`
	Hazard *Hazard   `json:"hazard,omitempty"`
	Note   string    `json:"note,omitempty"`
	Source string    `json:"source,omitempty"` // "field" or "history"

	ApprovedBy string `json:"approved_by,omitempty"` // who approved a departure from the policy
}
