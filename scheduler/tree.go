package scheduler

import "limbround/geo"

// TreeState is the recorded condition of a tree as an inventory item.
type TreeState string

// The tree states.
const (
	Alive   TreeState = "alive"
	Dead    TreeState = "dead"
	Stump   TreeState = "stump"
	Removed TreeState = "removed"
	Vacant  TreeState = "vacant" // a site without a tree
)

// Precision says how exactly a date is known.
type Precision string

// The precisions, finest first.
const (
	PreciseDay    Precision = "day"
	PreciseMonth  Precision = "month"
	PreciseSeason Precision = "season"
	PreciseYear   Precision = "year"
	PreciseNone   Precision = "none"
)

// Stage is the training stage of a tree. It follows recorded facts, not age.
type Stage string

// The stages, in order.
const (
	StageUnknown      Stage = "not_assessed"
	StageEstablishing Stage = "establishing"
	StageLeader       Stage = "leader"
	StageTemporaries  Stage = "temporaries"
	StageRaising      Stage = "raising"
	StageRotation     Stage = "rotation"
)

// Vigour is the recorded condition of the crown; a poor one takes no live cuts.
type Vigour string

// The vigour classes.
const (
	VigourGood Vigour = "good"
	VigourFair Vigour = "fair"
	VigourPoor Vigour = "poor" // drought-stressed, defoliated or dying back: dose zero
)

// Tree is one tree with the latest of each fact known about it. Facts are
// appended elsewhere (measurements, work records); this is their newest state.
type Tree struct {
	ID        int64      `json:"id"`
	Ref       string     `json:"ref"` // the city's tag or inventory number
	SiteID    int64      `json:"site_id"`
	Species   string     `json:"species"` // species code
	State     TreeState  `json:"state"`
	Planted   Date       `json:"planted"`
	Precision Precision  `json:"planted_precision"`
	Caliper   geo.Length `json:"caliper_mm"` // at planting, measured 15 or 30 cm above ground
	Stems     int        `json:"stems"`
	Stage     Stage      `json:"stage"`
	Vigour    Vigour     `json:"vigour"`

	DBH        geo.Length `json:"dbh_mm"`
	Height     geo.Length `json:"height_mm"`
	Crown      geo.Length `json:"crown_spread_mm"`
	MeasuredOn Date       `json:"measured_on"`
	BaseRoad   geo.Length `json:"base_road_mm"` // lowest foliage on the road side at the last record
	BaseWalk   geo.Length `json:"base_walk_mm"`
	BaseOn     Date       `json:"base_on"`
	Permanent  geo.Length `json:"lowest_permanent_mm"` // attachment height, geo.None for none chosen yet

	LastTraining Date `json:"last_training"` // newest structural visit
	LastRotation Date `json:"last_rotation"` // newest rotation prune
	LastRaise    Date `json:"last_raise"`    // newest road or walk clearance
	LastVisit    Date `json:"last_visit"`    // newest visit that looked at the tree: any but one that only watered or took sprouts

	BrokenOn      Date `json:"broken_on"`      // newest making safe: what broke is to be restored
	LastRestored  Date `json:"last_restored"`  // newest restoration visit
	LastInspected Date `json:"last_inspected"` // newest inspection, establishment visit or first look
	LastWatered   Date `json:"last_watered"`
	LastSprouts   Date `json:"last_sprouts"` // newest removal of basal sprouts

	DoseSeason int `json:"dose_season"`   // growing season (year) of DoseUsed
	DoseUsed   int `json:"dose_used_pct"` // live crown taken in that season, per cent

	Watch []WatchItem `json:"watch,omitempty"`
}

// Intent is what is to become of a watched branch or stem.
type Intent string

// The intents.
const (
	RemoveLater Intent = "remove_later"
	HoldTier    Intent = "hold_as_lower_tier"
	DecideNext  Intent = "decide_next_visit"
	WatchOnly   Intent = "watch" // a union, a crack, a support: look, no cut planned
)

// WatchItem is what a visit left to be looked at or done by the next one.
type WatchItem struct {
	ID           int64      `json:"id"`
	TreeID       int64      `json:"tree_id"`
	Letter       string     `json:"letter"` // A, B, C ...: unique among a tree's open items
	What         string     `json:"what"`   // "competing leader", "temporary branch", "union", "stop sign hidden" ...
	Height       geo.Length `json:"height_mm"`
	Side         Side       `json:"side"`
	Diameter     geo.Length `json:"diameter_mm"`
	StemDiameter geo.Length `json:"stem_diameter_mm"` // parent stem just above the union
	IncludedBark bool       `json:"included_bark"`
	Done         string     `json:"done"` // what was done to it at the last visit
	Intent       Intent     `json:"intent"`
	ReducedOn    Date       `json:"reduced_on"`
	SeenOn       Date       `json:"seen_on"`
	NextCheck    Date       `json:"next_check"`
	Resolved     bool       `json:"resolved"`

	RecordID string `json:"-"` // the record that found it, and its place there
	Place    int    `json:"-"`
}

// AspectRatio is branch diameter over stem diameter at the union; 0 when either is not recorded.
func (w *WatchItem) AspectRatio() float64 {
	if w.Diameter <= 0 || w.StemDiameter <= 0 {
		return 0
	}
	return float64(w.Diameter) / float64(w.StemDiameter)
}
