package scheduler

import "limbround/geo"

// Policy is one version of a city's rules. Every figure carries the source it
// comes from. Policies are never edited: a change is a new version.
type Policy struct {
	ID        int64  `json:"id" yaml:"-"`
	Name      string `json:"name" yaml:"name"`
	AdoptedBy string `json:"adopted_by" yaml:"adopted_by"`
	Effective Date   `json:"effective" yaml:"effective"`
	Region    string `json:"region" yaml:"region"` // climate region of the growth curves, for example "LoMidW"

	Seasons   SeasonRules    `json:"seasons" yaml:"seasons"`
	Training  TrainingRules  `json:"training" yaml:"training"`
	Clearance ClearanceRules `json:"clearance" yaml:"clearance"`
	Rotation  RotationRules  `json:"rotation" yaml:"rotation"`
	Wires     WireRules      `json:"wires" yaml:"wires"`
	Work      WorkRules      `json:"work" yaml:"work"`
	FirstLook FirstLookRules `json:"first_look" yaml:"first_look"`
	Practice  PracticeRules  `json:"practice" yaml:"practice"`   // figures from common practice; zero takes the default
	Care      CareRules      `json:"care" yaml:"care"`           // of young and of broken trees; zero takes the default
	Storms    StormRules     `json:"storms" yaml:"storms"`       // ice and snow
	Growth    GrowthRules    `json:"growth" yaml:"growth"`       // the city's own curves and shifts; empty for the published ones
	FollowUp  FollowUpRules  `json:"follow_up" yaml:"follow_up"` // days set by "could not do" codes; zero takes the default
	Advise    AdviseRules    `json:"advise" yaml:"advise"`       // figures behind the advice on one branch; zero takes the default
}

// MonthDay is a day of any year.
type MonthDay struct {
	Month int `json:"month"`
	Day   int `json:"day"`
}

// SeasonKind separates the four kinds of season.
type SeasonKind string

// The season kinds.
const (
	SeasonClosed     SeasonKind = "closed"       // law or agency, named
	SeasonAllowed    SeasonKind = "allowed_only" // work only inside the span: closed outside it
	SeasonCheckFirst SeasonKind = "check_first"  // survey within N days before work
	SeasonStopOnFind SeasonKind = "stop_on_find" // stop when found
	SeasonPreferred  SeasonKind = "preferred"    // preferred months, no ban
)

// Season is a span of days in every year, which may cross New Year.
type Season struct {
	Name      string     `json:"name" yaml:"name"`
	Kind      SeasonKind `json:"kind" yaml:"kind"`
	From      MonthDay   `json:"from" yaml:"from"`
	To        MonthDay   `json:"to" yaml:"to"`                             // inclusive
	Groups    []string   `json:"groups" yaml:"groups"`                     // species groups (Species.ClosedGroup); empty means every species
	Cuts      []CutClass `json:"cuts,omitempty" yaml:"cuts"`               // cut classes it touches; empty means live cuts
	Kinds     []WorkKind `json:"kinds" yaml:"kinds"`                       // kinds of live cuts it touches; empty means all
	Survey    int        `json:"survey_days,omitempty" yaml:"survey_days"` // check_first: the look is at most so many days before the work; 0 leaves it to the authority
	Authority string     `json:"authority" yaml:"authority"`
	Source    string     `json:"source" yaml:"source"`
}

// SeasonRules hold the working seasons by which pruning is due, and the
// closed and advisory seasons.
type SeasonRules struct {
	Dormant MonthSpan `json:"dormant" yaml:"dormant"` // the season in which structural work is due
	LeafOn  MonthSpan `json:"leaf_on" yaml:"leaf_on"` // the growing season
	Special []Season  `json:"special" yaml:"special"`
	Source  string    `json:"source" yaml:"source"` // of Dormant and LeafOn
}

// MonthSpan is a span of days in every year, inclusive; it may cross New Year.
type MonthSpan struct {
	From MonthDay `json:"from" yaml:"from"`
	To   MonthDay `json:"to" yaml:"to"`
}

// TrainingRules give the training stages and their limits.
type TrainingRules struct {
	Stages       []StageRule `json:"stages" yaml:"stages"`
	EndYears     int         `json:"end_years" yaml:"end_years"` // planned length of training from planting
	LiveCrownMin int         `json:"live_crown_min_pct" yaml:"live_crown_min_pct"`
	FlatDose     int         `json:"flat_dose_pct" yaml:"flat_dose_pct"`
	DoseByVisit  []int       `json:"dose_by_visit_pct" yaml:"dose_by_visit_pct"` // by training visit, first first; overrides FlatDose
	SmallCut     geo.Length  `json:"small_cut_mm" yaml:"small_cut"`              // largest cut that is still small
	SmallRatio   float64     `json:"small_ratio" yaml:"small_ratio"`             // largest branch / stem ratio for removal in one step
	Reach        geo.Length  `json:"reach_mm" yaml:"reach"`                      // height of cuts a ground crew reaches
	Source       string      `json:"source" yaml:"source"`                       // of the schedule: EndYears and the stages' order
	CrownSource  string      `json:"live_crown_source" yaml:"live_crown_source"` // of LiveCrownMin
	DoseSource   string      `json:"dose_source" yaml:"dose_source"`             // of FlatDose and DoseByVisit
	CutSource    string      `json:"small_cut_source" yaml:"small_cut_source"`   // of SmallCut and SmallRatio
	ReachSource  string      `json:"reach_source" yaml:"reach_source"`           // of Reach

	// GrowthSeasons is what the growth class of a species (slow, moderate, fast)
	// adds to the interval of every stage but the establishing one; see Pace.
	GrowthSeasons map[string]int `json:"growth_seasons,omitzero" yaml:"growth_seasons"`
	GrowthSource  string         `json:"growth_source,omitempty" yaml:"growth_source"` // of GrowthSeasons

	Structure StructureRules `json:"structure" yaml:"structure"` // temporaries, permanent branches, shares of one stem; zero takes the default
}

// StageRule is the interval, dose and objectives of one training stage.
type StageRule struct {
	Stage      Stage    `json:"stage" yaml:"stage"`
	Seasons    int      `json:"interval_seasons" yaml:"interval_seasons"`       // growing seasons from one visit to the next
	LatestPlus int      `json:"latest_plus_seasons" yaml:"latest_plus_seasons"` // seasons of grace before overdue
	Objectives []string `json:"objectives" yaml:"objectives"`
	Source     string   `json:"source" yaml:"source"`
}

// HeightRule gives the three heights of one envelope.
type HeightRule struct {
	Legal   geo.Length `json:"legal_mm" yaml:"legal"`
	ActAt   geo.Length `json:"act_at_mm" yaml:"act_at"`     // a visit is due when foliage is at or below this
	ClearTo geo.Length `json:"clear_to_mm" yaml:"clear_to"` // raise to this, before droop and growth are added
	Source  string     `json:"source" yaml:"source"`
}

// RoadRule is the required profile across a road of one class: the heights at
// the curb and over the lanes.
type RoadRule struct {
	Class   StreetClass `json:"class" yaml:"class"`
	AtCurb  HeightRule  `json:"at_curb" yaml:"at_curb"`
	AtLane  HeightRule  `json:"at_lane" yaml:"at_lane"`
	BusLane HeightRule  `json:"bus_lane" yaml:"bus_lane"`

	// TruckLane holds over the lanes of a truck route; left out, a truck route
	// asks for nothing more than the street does.
	TruckLane HeightRule `json:"truck_lane,omitzero" yaml:"truck_lane"`

	// ToCentre says that the height of AtLane is reached at the centre of the
	// street and not already at the edge of the travel lane.
	ToCentre bool `json:"to_centre" yaml:"to_centre"`
}

// ClearanceRules give required heights over walks and roads.
type ClearanceRules struct {
	Walk      HeightRule `json:"walk" yaml:"walk"`
	Roads     []RoadRule `json:"roads" yaml:"roads"`
	SignGap   geo.Length `json:"sign_gap_mm" yaml:"sign_gap"`
	SightLow  geo.Length `json:"sight_low_mm" yaml:"sight_low"` // band kept open in a sight triangle
	SightHigh geo.Length `json:"sight_high_mm" yaml:"sight_high"`
	LookAhead int        `json:"look_ahead_years" yaml:"look_ahead_years"`
	Source    string     `json:"source" yaml:"source"` // of SignGap, the sight band and LookAhead

	// YoungTrees is the rule that excepts trees too young to be raised from the
	// legal heights, as the code words it; empty where there is none.
	YoungTrees string `json:"young_trees,omitempty" yaml:"young_trees"`

	// SnowDroop is how far low limbs sink under snow, per cent of the species'
	// droop when wet and in leaf; 0 in a city without snow.
	SnowDroop int `json:"snow_droop_pct,omitempty" yaml:"snow_droop_pct"`

	// SnowHold is the droop under snow of a crown that holds it, per cent of
	// another crown's, and SignTop the height of street signs: a crown with a
	// higher base leaves them in view beneath it. LightLow is the height below
	// which a top shades no lamp. Zero takes common practice.
	SnowHold int        `json:"snow_hold_pct,omitempty" yaml:"snow_hold_pct"`
	SignTop  geo.Length `json:"sign_top_mm,omitempty" yaml:"sign_top"`
	LightLow geo.Length `json:"light_low_mm,omitempty" yaml:"light_low"`
}

// WithDefaults fills the figures that are left out with common practice, from
// memory: a sign of 30 in with its lower edge 7 ft up ends at about 3 m.
func (r ClearanceRules) WithDefaults() ClearanceRules {
	if r.SnowHold == 0 {
		r.SnowHold = 150
	}
	if r.SignTop == 0 {
		r.SignTop = 3000
	}
	if r.LightLow == 0 {
		r.LightLow = 5000
	}
	return r
}

// RotationRules give the cycle of mature trees by size class.
type RotationRules struct {
	Classes []RotationClass `json:"classes" yaml:"classes"`
}

// RotationClass is the cycle of trees up to a diameter.
type RotationClass struct {
	UpTo   geo.Length `json:"dbh_up_to_mm" yaml:"dbh_up_to"` // 0 for no limit
	Years  int        `json:"years" yaml:"years"`
	Grace  int        `json:"grace_years" yaml:"grace_years"`
	Source string     `json:"source" yaml:"source"`
}

// WireRules decide who may work near overhead lines.
type WireRules struct {
	Approach geo.Length `json:"approach_mm" yaml:"approach"` // unqualified persons, tools and falling pieces stay this far off a line of up to 50 kV to ground
	Source   string     `json:"source" yaml:"source"`

	// A request to the utility, to answer for a line or to send its own crew;
	// zero takes common practice.
	RequestLead  int `json:"request_lead_days,omitempty" yaml:"request_lead_days"`   // from the request to the utility's answer
	RequestValid int `json:"request_valid_days,omitempty" yaml:"request_valid_days"` // from the answer until it must be asked for again
}

// WithDefaults fills the days that are left out with common practice.
func (r WireRules) WithDefaults() WireRules {
	if r.RequestLead == 0 {
		r.RequestLead = 30
	}
	if r.RequestValid == 0 {
		r.RequestValid = 90
	}
	return r
}

// WorkRules turn a visit into minutes and chips. Minutes are planned so that
// four days in five finish on time.
type WorkRules struct {
	SetUp     map[StreetClass]int `json:"set_up_min" yaml:"set_up_min"`           // traffic set-up once per block face
	WalkSetUp int                 `json:"walk_set_up_min" yaml:"walk_set_up_min"` // ground crews without a lane closure
	Kinds     []KindMinutes       `json:"kinds" yaml:"kinds"`
	SpreadPct int                 `json:"spread_pct" yaml:"spread_pct"` // added to the mean
	Source    string              `json:"source" yaml:"source"`
}

// KindMinutes is the mean work time of one kind: Base plus PerCM for each
// centimetre of dbh, and the litres of chips per centimetre of dbh.
type KindMinutes struct {
	Kind   WorkKind `json:"kind" yaml:"kind"`
	Base   float64  `json:"base_min" yaml:"base_min"`
	PerCM  float64  `json:"min_per_dbh_cm" yaml:"min_per_dbh_cm"`
	Chips  float64  `json:"chips_l_per_dbh_cm" yaml:"chips_l_per_dbh_cm"`
	Source string   `json:"source" yaml:"source"`
}

// FirstLookRules spread the first assessment of trees without a record.
type FirstLookRules struct {
	Years  int    `json:"years" yaml:"years"`        // number of years over which all are seen
	From   Date   `json:"from,omitzero" yaml:"from"` // the day the spread is counted from; empty: the effective date of the first policy that the city adopted
	Source string `json:"source" yaml:"source"`
}
