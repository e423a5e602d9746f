package scheduler

// WorkKind is a kind of work on a tree.
type WorkKind string

// The kinds of work.
const (
	Training       WorkKind = "training"
	RoadClearance  WorkKind = "road_clearance"
	WalkClearance  WorkKind = "walk_clearance"
	SightClearance WorkKind = "sight_clearance" // sight lines, signs, signals, lights
	RotationPrune  WorkKind = "rotation_prune"
	Restoration    WorkKind = "restoration"
	MakeSafe       WorkKind = "make_safe"
	Removal        WorkKind = "removal"
	StumpGrinding  WorkKind = "stump"
	Replanting     WorkKind = "replanting"
	Support        WorkKind = "support_inspection"
	BasalSprouts   WorkKind = "basal_sprouts"
	Inspection     WorkKind = "inspection"
	Establishment  WorkKind = "establishment"
	FirstLook      WorkKind = "first_look" // first assessment of a tree without a record
	Watering       WorkKind = "watering"   // in the first growing seasons
)

// VisitState is where a visit stands against its window on a given day.
// It is derived; the stored copy is as of the last due pass.
type VisitState string

// The visit states.
const (
	NotAssessed   VisitState = "not_assessed"
	Upcoming      VisitState = "upcoming" // today is before the window's due day; from earliest on it may be pulled forward
	Due           VisitState = "due"
	Overdue       VisitState = "overdue_workable"
	OverdueClosed VisitState = "overdue_closed" // overdue, but a closed season holds it
	Held          VisitState = "held"
	NotOurs       VisitState = "not_ours"
)

// Progress is the life of a visit as a piece of work.
type Progress string

// A visit is open until a work record completes it or the rules withdraw it.
const (
	Open      Progress = "open"
	Completed Progress = "completed"
	Withdrawn Progress = "withdrawn"
)

// Skill is the crew qualification a visit needs. The order is by cost.
type Skill string

// The skills.
const (
	Ground        Skill = "ground"
	Lift          Skill = "lift"
	LineClearance Skill = "line_clearance"
)

// Window bounds a visit. Due is what is printed as a season; Latest is the
// date after which it is overdue. Zero dates are open ends.
type Window struct {
	Earliest Date `json:"earliest"`
	Due      Date `json:"due"`
	Latest   Date `json:"latest"`
}

// Reason is one rule that made or bounded a visit, as one sentence with its
// figures and where they come from.
type Reason struct {
	Rule   string `json:"rule"`   // short key: "training.interval", "clearance.road" ...
	Text   string `json:"text"`   // one sentence for the crew leader
	Source string `json:"source"` // publication, policy or "common practice"
}

// Task is one kind of work within a visit, with its own window before bundling.
type Task struct {
	Kind    WorkKind `json:"kind"`
	Window  Window   `json:"window"`
	Class   int      `json:"class"`
	Minutes int      `json:"minutes"`
	Reasons []Reason `json:"reasons"`
}

// Visit is one trip to one tree: the tasks bundled into it, its window in
// seasons, the reasons, and what it needs.
type Visit struct {
	ID         int64      `json:"id"`
	TreeID     int64      `json:"tree_id"`
	SiteID     int64      `json:"site_id"`
	Kind       WorkKind   `json:"kind"`  // the lead task; one open visit per tree and lead kind
	Kinds      []WorkKind `json:"kinds"` // all tasks, lead first
	Window     Window     `json:"window"`
	Season     string     `json:"season"` // "dormant season 2028/29, 1 Nov to 31 Mar"
	State      VisitState `json:"state"`
	Progress   Progress   `json:"progress"`
	ClosedTo   Date       `json:"closed_until"`   // with OverdueClosed: first workable day
	Hold       string     `json:"hold,omitempty"` // reason, with Held
	HoldUntil  Date       `json:"hold_until"`     // recheck date of a hold that a work record set
	Class      int        `json:"class"`          // 0 most urgent .. 4
	Score      int        `json:"score"`          // orders only within a class
	Skill      Skill      `json:"skill"`
	Minutes    int        `json:"minutes"`    // work at the tree, without traffic set-up
	ChipsL     int        `json:"chips_l"`    // chip volume, litres
	Dose       int        `json:"dose_pct"`   // live crown to take, at most
	Objectives []string   `json:"objectives"` // in order, at most five
	Limits     []string   `json:"limits"`
	Cautions   []string   `json:"cautions"`
	Reasons    []Reason   `json:"reasons"`
	PolicyID   int64      `json:"policy_id"`
	AsOf       Date       `json:"as_of"` // the day it was computed for; not part of its content
	Origin     Origin     `json:"origin"`
	Revision   int        `json:"-"` // edit counter behind the ETag
}

// Origin says what opened a visit. The rules withdraw only their own.
type Origin string

// The origins; the empty origin of a fresh proposal means the rules.
const (
	FromRules   Origin = "rules"
	FromHazard  Origin = "hazard"
	FromRequest Origin = "request"
	FromRecord  Origin = "record"
)

// When is the visit's time as it is printed: its season, or its due day.
func (v *Visit) When() string {
	if v.Season != "" {
		return v.Season
	}
	return v.Window.Due.String()
}
