package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// BranchRole is what a branch or stem is to its tree, as a crew leader would name it.
type BranchRole string

// The roles.
const (
	DeadBranch      BranchRole = "dead"
	BrokenBranch    BranchRole = "broken"
	DiseasedBranch  BranchRole = "diseased"
	Stub            BranchRole = "stub"
	CrossingBranch  BranchRole = "crossing"      // crosses or rubs another
	PressingBranch  BranchRole = "pressing"      // will press on or fuse with a union as both thicken
	IntoScaffold    BranchRole = "into_scaffold" // a low limb that grows up into the scaffold
	CrowdingBranch  BranchRole = "crowding"      // inside a leader
	TheLeader       BranchRole = "leader"        // the chosen leader itself
	CompetingLeader BranchRole = "competing_leader"
	CompetingTop    BranchRole = "competing_top" // competing tops within one leader
	BasalSprout     BranchRole = "basal_sprout"
	TemporaryBranch BranchRole = "temporary"
	PermanentBranch BranchRole = "permanent" // the lowest permanent branch or a scaffold
	LaneSide        BranchRole = "lane_side"
	WalkSide        BranchRole = "walk_side"
	EndWeight       BranchRole = "end_weight"
)

// BranchRoles lists every role.
func BranchRoles() []BranchRole {
	return []BranchRole{
		DeadBranch, BrokenBranch, DiseasedBranch, Stub, CrossingBranch, PressingBranch, IntoScaffold, CrowdingBranch, TheLeader,
		CompetingLeader, CompetingTop, BasalSprout, TemporaryBranch, PermanentBranch, LaneSide, WalkSide, EndWeight,
	}
}

// StopSign is something seen at the tree that stops the work.
type StopSign string

// The stop signs.
const (
	CrackAtUnion StopSign = "crack_at_union"
	Hanger       StopSign = "hanger"
	SoilLifting  StopSign = "soil_lifting"
	DecayAtBase  StopSign = "decay_at_base"
	FungusAtBase StopSign = "fungus_at_base"
	WireContact  StopSign = "wire_contact"
	Bees         StopSign = "bees"
	ActiveNest   StopSign = "active_nest"
)

// StopSigns lists every stop sign, the gravest first.
func StopSigns() []StopSign {
	return []StopSign{WireContact, CrackAtUnion, Hanger, SoilLifting, DecayAtBase, FungusAtBase, Bees, ActiveNest}
}

// Attitude is the way a branch stands.
type Attitude string

// The attitudes; an upright stem grows in equal light with its parent.
const (
	UprightStem     Attitude = "upright"
	SpreadingBranch Attitude = "spreading"
	DroopingBranch  Attitude = "drooping"
)

// Branch is the question about one branch or stem. Lengths are whole
// millimetres; a length of zero was not measured. Shares are whole per cent.
type Branch struct {
	Role     BranchRole       `json:"role"`
	On       scheduler.Date   `json:"on"`
	Diameter geo.Length       `json:"diameter_mm"`      // just beyond the union
	Stem     geo.Length       `json:"stem_diameter_mm"` // parent stem just above the union; the trunk's stands in
	SizedOn  scheduler.Date   `json:"measured_on"`      // day of the two diameters; projected to the day asked about
	Height   geo.Length       `json:"height_mm"`        // of the attachment
	Side     scheduler.Side   `json:"side"`
	Attitude Attitude         `json:"attitude"`
	Intent   scheduler.Intent `json:"intent"` // what the last visit meant to become of it

	IncludedBark bool       `json:"included_bark"`
	Gap          geo.Length `json:"gap_mm"`     // to the union or stem it will press on, at the narrowest
	Contact      geo.Length `json:"contact_mm"` // length over which it rubs
	Lateral      geo.Length `json:"lateral_mm"` // largest side branch it could be reduced to
	SameHeight   bool       `json:"same_height_cut"`
	Stated       string     `json:"stated_reason"` // why a cut of more than 50 mm is needed

	Share      int            `json:"share_pct"` // of the tree's live crown; estimated from the diameters when 0
	DoseUsed   int            `json:"dose_used_pct"`
	SideUsed   int            `json:"side_used_pct"` // taken this season from the side or leader it belongs to, of the tree's live crown
	ReducedOn  scheduler.Date `json:"reduced_on"`
	ReducedPct int            `json:"reduced_pct"` // of its own foliage, at that reduction
	NextVisit  scheduler.Date `json:"next_visit"`  // the rules' own when not given

	Signs     []StopSign `json:"signs"`
	WireGap   geo.Length `json:"wire_gap_mm"`    // nearest overhead line, as seen from the ground
	LineCrew  bool       `json:"line_qualified"` // line-clearance qualified people do the work
	Emergency bool       `json:"emergency"`
	Approver  string     `json:"approver"` // who approved the emergency cut by name
}
